"""Twins: two databases that differ in private facts only give the same public bytes.

The attacker asks everything, reads every file and every header, and compares. What differs is
told before the first release and, in another pair, between the two: an old place, name or time
must not show by a row becoming "changed" either.
"""

import pytest

from surveys.visits.models import Count, Visit
from tests.attacks.conftest import Tell
from tests.attacks.facts import FACTS, Change, all_of_them
from tests.attacks.scene import (
    COLLECTIONS,
    SCHOOL,
    Answers,
    differing,
    everything_public,
    nothing,
    read,
    two_releases,
)
from tests.portal.publication.villages import (
    fixed_mint,
    household,
    release,
    village,
    village_group,
)

pytestmark = pytest.mark.slow
FILES = [
    f"/files/1/1/{name}"
    for name in ("archive.zip", "flat-archive.zip", "pits.csv", "visits.parquet")
]
ROWS = [f"/api/v1/{name}?limit=1000" for name in COLLECTIONS]
COMPUTED = [
    "/api/v1/changes",
    "/api/v1/groups",
    "/api/v1/releases/1",
    "/api/v1/planning/where",
    "/api/v1/summary?by=month,cell",
    "/features/collections/visits",
    "/oai?verb=ListRecords&metadataPrefix=eml",
]


def told_with(tell: Tell, change: Change, addresses: list[str]) -> Answers:
    """Tell of the village and its school once, with a change; return what is answered."""

    def story() -> None:
        group = village_group(named_publicly=True)
        village(group, range(5), note="Quiet morning.")
        household(group, 7, site=SCHOOL)
        change()
        release(1, mint=fixed_mint)

    answers: Answers = tell(story, lambda: {address: read(address) for address in addresses})
    return answers


@pytest.fixture(scope="module")
def plain(tell_rows: Tell) -> Answers:
    """Return rows and figures if nothing differs."""
    return told_with(tell_rows, nothing, ROWS + COMPUTED)


def test_private_facts_change_no_byte_of_anything_public(tell: Tell, all_answers: Answers) -> None:
    before = tell(lambda: two_releases(before=all_of_them), everything_public)
    between = tell(lambda: two_releases(between=all_of_them), everything_public)

    assert sum(answer.status == 200 for answer in all_answers.values()) > 100
    assert differing(all_answers, before) == []
    assert differing(all_answers, between) == []


@pytest.mark.parametrize("fact", FACTS)
def test_one_private_fact_changes_no_byte(tell_rows: Tell, plain: Answers, fact: str) -> None:
    """One by one, so that two changes cannot hide each other.

    Rows and figures will do: files are made of published rows alone, whose room cannot reach the
    private side, and the files themselves are compared above.
    """
    assert differing(plain, told_with(tell_rows, FACTS[fact], ROWS + COMPUTED)) == []


def test_public_fact_does_change_rows_and_files(tell: Tell) -> None:
    """Without this, the tests above could compare answers that never change."""

    def clear_notes_and_count_more() -> None:
        Visit.objects.update(note_approved=True)
        Count.objects.filter(number=0).update(number=9)

    plain, changed = (
        told_with(tell, change, ROWS + FILES + COMPUTED)
        for change in (nothing, clear_notes_and_count_more)
    )

    assert {answer.status for answer in plain.values()} == {200}
    assert b"Quiet morning." in changed[ROWS[0]].body
    assert set(ROWS + FILES) <= set(differing(plain, changed))
