"""Rows that hide a place or a person must not give it away elsewhere."""

from collections.abc import Iterator

from portal.checkarchive.collecting import DOUBTFUL, LEAKS
from portal.checkarchive.findings import Problem
from portal.checkarchive.registry import rule
from portal.checkarchive.subjects import Row, Whole

Problems = Iterator[Problem]
_TERM = "Darwin Core terms dataGeneralizations, informationWithheld"
_PRACTICE = "common practice, no source"


@rule("generalised-leak", "whole", f"{_TERM}; {_PRACTICE}")
def leak(whole: Whole) -> Problems:
    """Leave this column empty where the place is generalised."""
    yield from _hidden_facts(whole, LEAKS)


@rule("generalised-doubtful", "whole", f"{_TERM}; {_PRACTICE}", severity="warning")
def doubtful(whole: Whole) -> Problems:
    """Make sure that this tells no more than a generalised row may, or leave it empty."""
    yield from _hidden_facts(whole, DOUBTFUL)


@rule("notice-alone", "row", _TERM, severity="warning", needs=("dataGeneralizations",))
def notice_alone(row: Row) -> Problems:
    """Say in informationWithheld what a generalised row lacks and whom to ask."""
    if row["dataGeneralizations"] and not row["informationWithheld"]:
        yield Problem("informationWithheld")


@rule(
    "recorder-ids",
    "row",
    "Darwin Core terms recordedBy, recordedByID",
    severity="warning",
    needs=("recordedByID",),
)
def recorder_ids(row: Row) -> Problems:
    """Write as many ids as names, in their order, parted by ' | '."""
    ids, names = row["recordedByID"], row["recordedBy"]
    if ids and ids.count("|") != names.count("|"):
        yield Problem("recordedByID", ids)


@rule(
    "recorder-id-form",
    "row",
    "Darwin Core term recordedByID",
    severity="warning",
    needs=("recordedByID",),
)
def recorder_id_form(row: Row) -> Problems:
    """Write the whole address of a recorder's public id, such as one of ORCID."""
    for text in row["recordedByID"].split("|"):
        if text.strip() and not text.strip().startswith(("https://", "http://")):
            yield Problem("recordedByID", text.strip())


def _hidden_facts(whole: Whole, names: tuple[str, ...]) -> Problems:
    for found, file, row in whole.ledger.ask("""
        SELECT name || '=' || value, file, row FROM secret
        WHERE EXISTS (SELECT 1 FROM core WHERE core.id = secret.coreid AND core.generalised)
    """):
        name, _, value = found.partition("=")
        if name in names:
            yield Problem(name, value, row, file)
