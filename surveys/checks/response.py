"""What a check answers: one status, one result, and a sentence that teaches.

Status and result words are those of the biodiversity data quality tests of TDWG (draft under
review; Chapman et al. 2020, Biodiversity Information Science and Standards 4: e50889).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum


class Status(StrEnum):
    """How a run ended."""

    RUN_HAS_RESULT = "RUN_HAS_RESULT"
    INTERNAL_PREREQUISITES_NOT_MET = "INTERNAL_PREREQUISITES_NOT_MET"
    EXTERNAL_PREREQUISITES_NOT_MET = "EXTERNAL_PREREQUISITES_NOT_MET"
    AMENDED = "AMENDED"
    FILLED_IN = "FILLED_IN"
    NOT_AMENDED = "NOT_AMENDED"


class Result(StrEnum):
    """What a run found, apart from numbers and proposed values."""

    COMPLIANT = "COMPLIANT"
    NOT_COMPLIANT = "NOT_COMPLIANT"
    POTENTIAL_ISSUE = "POTENTIAL_ISSUE"
    NOT_ISSUE = "NOT_ISSUE"
    COMPLETE = "COMPLETE"
    NOT_COMPLETE = "NOT_COMPLETE"


WITH_RESULT = frozenset({Status.RUN_HAS_RESULT, Status.AMENDED, Status.FILLED_IN})
PROPOSALS = frozenset({Status.AMENDED, Status.FILLED_IN})
FAULTS = frozenset({Result.NOT_COMPLIANT, Result.POTENTIAL_ISSUE, Result.NOT_COMPLETE})


@dataclass(frozen=True)
class Response:
    """The answer of one check about one thing.

    ``comment`` is plain English and never holds an exact place, a name or an address; ``code``
    with ``arguments`` says the same for translation. ``pointer`` is a JSON Pointer (RFC 6901)
    into the visit, empty for the whole visit. A proposed value stands only in ``result``.
    """

    status: Status
    result: Result | int | Mapping[str, str] | None
    comment: str
    code: str = ""
    pointer: str = ""
    arguments: Mapping[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse a response that the standard does not allow.

        Raises
        ------
        ValueError
            If the comment is empty, or a result is there when it must not be, or missing.
        """
        if not self.comment.strip():
            message = "a response needs a comment"
            raise ValueError(message)
        if (self.status in WITH_RESULT) is (self.result is None):
            message = f"{self.status} does not go with result {self.result!r}"
            raise ValueError(message)

    @property
    def is_fault(self) -> bool:
        """Tell whether the check found something wrong."""
        return self.result in FAULTS if isinstance(self.result, Result) else False

    @property
    def is_proposal(self) -> bool:
        """Tell whether a change is offered; a person decides about it."""
        return self.status in PROPOSALS


def compliant(text: str) -> Response:
    """Return a validation that found nothing wrong."""
    return Response(Status.RUN_HAS_RESULT, Result.COMPLIANT, text)


def not_compliant(code: str, text: str, pointer: str = "", **arguments: object) -> Response:
    """Return a validation that found a fault; ``text`` is filled with the arguments."""
    return _found(Result.NOT_COMPLIANT, code, text, pointer, arguments)


def no_issue(text: str) -> Response:
    """Return an issue test that found nothing."""
    return Response(Status.RUN_HAS_RESULT, Result.NOT_ISSUE, text)


def potential_issue(code: str, text: str, pointer: str = "", **arguments: object) -> Response:
    """Return an issue test that found something; ``text`` is filled with the arguments."""
    return _found(Result.POTENTIAL_ISSUE, code, text, pointer, arguments)


def cannot_run(text: str) -> Response:
    """Return a test that the record gives nothing to work on."""
    return Response(Status.INTERNAL_PREREQUISITES_NOT_MET, None, text)


def no_authority(text: str) -> Response:
    """Return a test whose outside list or service is not at hand."""
    return Response(Status.EXTERNAL_PREREQUISITES_NOT_MET, None, text)


def amended(values: Mapping[str, str], text: str, code: str = "", pointer: str = "") -> Response:
    """Return a proposal that replaces what was sent."""
    return Response(Status.AMENDED, dict(values), text, code, pointer)


def filled_in(values: Mapping[str, str], text: str, code: str = "", pointer: str = "") -> Response:
    """Return a proposal that fills what was empty."""
    return Response(Status.FILLED_IN, dict(values), text, code, pointer)


def not_amended(text: str) -> Response:
    """Return an amendment test that has nothing to propose."""
    return Response(Status.NOT_AMENDED, None, text)


def measured(number: int, text: str) -> Response:
    """Return a measure."""
    return Response(Status.RUN_HAS_RESULT, number, text)


def _found(
    result: Result, code: str, text: str, pointer: str, arguments: Mapping[str, object]
) -> Response:
    words = {name: str(value) for name, value in arguments.items()}
    return Response(Status.RUN_HAS_RESULT, result, text.format(**words), code, pointer, words)
