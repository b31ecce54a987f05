"""The list of known attacks is whole, and each test that it names is there."""

import re
from pathlib import Path

import tests.attacks as package

KNOWN = 38
LINE = re.compile(r"^ ?(\d+) (none: .+|\w+::.+ -- .+)$", re.MULTILINE)
NAMED = re.compile(r"(\w+)::(test_\w+)")


def entries() -> dict[int, str]:
    return {int(number): text for number, text in LINE.findall(package.__doc__ or "")}


def names_in(module: str) -> list[str]:
    source = Path(__file__).with_name(f"test_{module}.py").read_text(encoding="utf-8")
    return re.findall(r"^def (test_\w+)\(", source, re.MULTILINE)


def test_every_known_attack_has_a_test_or_a_reason() -> None:
    assert list(entries()) == list(range(1, KNOWN + 1))
    assert sum(text.startswith("none") for text in entries().values()) <= 2


def test_every_test_of_the_list_is_there() -> None:
    named = [pair for text in entries().values() for pair in NAMED.findall(text)]

    assert len(named) > KNOWN
    missing = [
        pair for pair in named if not any(name.startswith(pair[1]) for name in names_in(pair[0]))
    ]
    assert missing == []


def test_every_attack_says_what_it_tries() -> None:
    """Modules and the tests of the list have a docstring."""
    for module in {module for text in entries().values() for module, _ in NAMED.findall(text)}:
        source = Path(__file__).with_name(f"test_{module}.py").read_text(encoding="utf-8")

        assert source.startswith('"""'), module
    for text in entries().values():
        for module, beginning in NAMED.findall(text):
            source = Path(__file__).with_name(f"test_{module}.py").read_text(encoding="utf-8")
            pattern = rf'def {beginning}\w*\([^)]*\) -> None:\n    """'
            assert re.search(pattern, source), (module, beginning)
