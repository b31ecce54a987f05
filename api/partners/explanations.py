"""Explain the codes of faults: those of reading, and those of the checks."""

import inspect

from surveys.checks.bdq.at_intake import checks_at_intake
from surveys.checks.policy import decide_on
from surveys.checks.registry import programme_checks
from surveys.intake.fault_texts import FAULT_TEXTS

_NEXT = {
    "block": "The visit is not stored. Correct it and send it again.",
    "hold": "The visit is stored and a reviewer looks at it. Correct it, or say in the note that "
    "it is right.",
    "note": "The visit is stored as it is. Correct it if it is wrong.",
    "propose": "The visit is stored as it is. If the proposal is right, correct the visit.",
    "pass": "Nothing follows.",
}


def explanation(code: str) -> tuple[str, str] | None:
    """Return what a code means and how to mend it, or nothing if no fault has it."""
    if code in FAULT_TEXTS:
        text = FAULT_TEXTS[code]
        return text.meaning, text.fix
    label = code.upper().replace("-", "_")
    for known in (*programme_checks(), *checks_at_intake()):
        if known.label == label:
            meaning = (inspect.getdoc(known.function) or label).partition("\n\n")[0]
            status = "AMENDED" if known.kind == "Amendment" else "RUN_HAS_RESULT"
            return meaning, _NEXT[decide_on(label, status, "NOT_COMPLIANT")]
    return None
