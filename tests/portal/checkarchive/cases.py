"""How a test breaks one rule, and where the finding must point."""

from collections.abc import Callable
from dataclasses import dataclass

from portal.checkarchive.yardstick import Yardstick
from tests.portal.checkarchive.archives import Draft, event_draft

EVENTS, FINDS, SCOPE, FACTS = "event.txt", "occurrence.txt", "humboldt.txt", "measurement.txt"
META, EML, ZIP = "meta.xml", "eml.xml", "archive.zip"
DWC = "http://rs.tdwg.org/dwc/terms/"
ANYTHING_GOES = Yardstick()


@dataclass(frozen=True)
class Case:
    """A rule, a way to break it, and file, row and column of the finding; no row means any."""

    rule: str
    spoil: Callable[[Draft], None]
    file: str
    row: int | None = None
    column: str = ""
    draft: Callable[[], Draft] = event_draft
    yardstick: Yardstick = ANYTHING_GOES


def put(rule: str, file: str, row: int, at: str = "", **values: str) -> Case:
    """Break a rule by values in a row; the finding is at the first of them unless told."""
    return Case(
        rule, lambda draft: draft.put(file, row, **values), file, row, at or next(iter(values))
    )


def swaps(rule: str, file: str, texts: dict[str, str], at: str = "") -> Case:
    """Break a rule by other texts in an XML file."""

    def spoil(draft: Draft) -> None:
        for old, new in texts.items():
            draft.swap(file, old, new)

    return Case(rule, spoil, file, None, at)


def meta(rule: str, old: str, new: str, at: str = "") -> Case:
    """Break a rule by another text in meta.xml."""
    return swaps(rule, META, {old: new}, at)


def eml(rule: str, old: str, new: str, at: str = "") -> Case:
    """Break a rule by another text in eml.xml."""
    return swaps(rule, EML, {old: new}, at)


def renamed(rule: str, old: str, new: str, at: str = "term") -> Case:
    """Break a rule by another term of a column of occurrences, in meta.xml and in the header."""

    def spoil(draft: Draft) -> None:
        draft.swap(META, f'"{DWC}{old}"', f'"{new if ":" in new else DWC + new}"')
        draft.swap(FINDS, f"\t{old}", f"\t{new.rpartition('/')[2]}")

    return Case(rule, spoil, META, None, at)


def entry(rule: str, name: str) -> Case:
    """Break a rule by one more file in the zip."""
    return Case(rule, lambda draft: draft.more.append((name, b"")), ZIP, 0)


def lines(rule: str, file: str, order: tuple[int, ...], row: int, column: str = "") -> Case:
    """Break a rule by the order of lines."""
    return Case(rule, lambda draft: draft.lines(file, *order), file, row, column)


def content(rule: str, file: str, old: bytes, new: bytes, row: int, column: str = "") -> Case:
    """Break a rule by other bytes, wherever they stand in a file."""

    def spoil(draft: Draft) -> None:
        assert old in draft.files[file]
        draft.files[file] = draft.files[file].replace(old, new)

    return Case(rule, spoil, file, row, column)


def without(rule: str, name: str, file: str) -> Case:
    """Break a rule by leaving a file out."""
    return Case(rule, lambda draft: draft.leave_out(name), file, 0)
