"""Every code that a table's fault can have is explained."""

import ast
from collections.abc import Iterator
from pathlib import Path

import surveys.uploads
from api.errors import PROBLEMS
from surveys.intake.fault_texts import FAULT_TEXTS
from tests.surveys.intake.cases import OF_A_TABLE


def codes_in_the_source() -> Iterator[str]:
    """Yield every text of the room that is a code, and what its faults are given as one."""
    for path in Path(surveys.uploads.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.keyword) and node.arg == "code":
                given = node.value
                yield from [str(given.value)] if isinstance(given, ast.Constant) else []
            elif isinstance(node, ast.Constant) and node.value in FAULT_TEXTS:
                yield str(node.value)


def test_every_code_that_a_table_can_have_is_explained() -> None:
    told = set(codes_in_the_source())

    assert told >= OF_A_TABLE
    assert told <= set(FAULT_TEXTS) | set(PROBLEMS)
