"""What has too little company left goes off at once, in every release, and readers are told."""

from datetime import timedelta

import pytest

from portal.publication.withdrawal import ReasonClass, withdraw_visits
from portal.records.changes import CHANGED, Position, read_feed
from portal.records.models import PublishedCount, PublishedPit, PublishedVisit
from portal.records.queries import newest_entry
from portal.statistics.coarse_words import UNTOLD
from surveys.people.models import Participant
from surveys.visits.models import Pit, Visit
from tests.factories.private import ConsentFactory
from tests.portal.publication.villages import (
    FIRST_AT,
    household,
    release,
    village,
    village_group,
)

pytestmark = pytest.mark.django_db

LATER = FIRST_AT + timedelta(days=40)
UNTOLD_GROUND = UNTOLD["habitat"]


@pytest.fixture(autouse=True)
def no_files(monkeypatch: pytest.MonkeyPatch) -> None:
    """Make releases of rows only, which is quicker."""
    monkeypatch.setattr("portal.publication.files.kinds_to_build", list)


def leave(*refs: str) -> None:
    withdraw_visits(
        visits=Visit.objects.filter(client_ref__in=refs),
        reason_class=ReasonClass.CONSENT_WITHDRAWN,
        at=LATER,
        by="test",
    )


def plant_hedges(*refs: str) -> None:
    Pit.objects.filter(visit__client_ref__in=refs, number=1).update(habitat="hedge")


def habitats(number: int) -> dict[str, int]:
    """Return the sites that show each habitat in a release, in visits, pits and counts alike."""
    tables = []
    for table in (PublishedPit, PublishedCount):
        sites: dict[str, set[object]] = {}
        for habitat, site in table.objects.at(number).values_list("habitat", "site_id"):
            sites.setdefault(habitat, set()).add(site)
        tables.append({habitat: len(found) for habitat, found in sites.items()})
    visits = PublishedVisit.objects.at(number).values_list("habitats", "habitats_text", "site_id")
    sites = {}
    for words, text, site in visits:
        assert text == f"|{'|'.join(sorted(words))}|"
        for word in words:
            sites.setdefault(word, set()).add(site)
    assert tables == [{habitat: len(found) for habitat, found in sites.items()}] * 2
    return tables[0]


def test_word_that_too_few_are_left_with_is_told_coarsely_in_every_release() -> None:
    village(village_group(), range(7))
    plant_hedges("V00", "V01", "V02")
    release(1)
    release(2)
    before = habitats(1)
    start = newest_entry()

    leave("V02")

    assert before == {"hedge": 3, "lawn": 4, "flower bed": 7}
    # Two hedges are left; the lawns, held by fewest of the others, join them.
    assert habitats(1) == habitats(2) == {UNTOLD_GROUND: 6, "flower bed": 6}
    changes = [one.change for one in read_feed(Position(start), limit=1000).changes]
    assert changes.count(CHANGED) == 6 + 6 + 6 * 3  # visits, pits and lines of the form


def test_next_release_tells_a_rare_word_of_older_versions_too() -> None:
    group = village_group()
    elsewhere = {"latitude": "52.7012345"}
    village(group, range(2))
    village(group, range(2, 7), site=elsewhere)
    plant_hedges("V00", "V01", "V02")
    release(1)
    for number in range(7, 10):  # now the first two have a finer cell of their own
        household(group, number)

    release(2)

    cells = PublishedVisit.objects.at(1).values("cell").distinct().count()
    assert cells == 1, "all shared a coarser cell"
    of_the_two = PublishedPit.objects.filter(
        visit_id__in=Visit.objects.filter(client_ref__in=["V00", "V01"]).values("public_id")
    )
    assert "hedge" not in set(of_the_two.values_list("habitat", flat=True))


def test_rare_management_is_told_coarsely_with_its_text_for_filters() -> None:
    homes = village(village_group(), range(5))
    Pit.objects.filter(visit=homes[0].visit).update(management=["mown", "mulched"])
    Pit.objects.filter(visit=homes[1].visit).update(management=["limed", "mown"])
    Pit.objects.filter(visit=homes[2].visit).update(management=["fertilised", "mown"])

    release(1)

    pits = PublishedPit.objects.at(1).values_list("management", "management_text").distinct()
    told = {text: words for words, text in pits}
    assert told == {
        "|mown|": ["mown"],
        "|mown|something added|": ["mown", "something added"],
    }


def test_names_go_where_too_few_stay_unnamed() -> None:
    homes = village(village_group(), range(6))
    for home in homes[:2]:
        Participant.objects.filter(pk=home.participant.pk).update(shown_name="Mara Quill")
        ConsentFactory.create(participant=home.participant, purpose="be_named")
    release(1)
    named = PublishedVisit.objects.at(1).filter(recorded_by__isnull=False).count()

    leave("V04", "V05")

    assert named == 2, "four stayed unnamed"
    assert not PublishedVisit.objects.filter(recorded_by__isnull=False).exists()
    assert not PublishedCount.objects.filter(recorded_by__isnull=False).exists()
    assert PublishedVisit.objects.at(1).count() == 4


def test_code_of_a_group_goes_off_every_row_when_one_cell_has_too_few_left() -> None:
    small = village_group(code="HAM", named_publicly=True)
    village(village_group(named_publicly=True), range(6))
    village(small, range(10, 13))
    release(1)
    codes = PublishedVisit.objects.at(1).values_list("group_code", flat=True)
    before = sorted(codes)

    leave("V10")

    assert before == ["HAM"] * 3 + ["QVD"] * 6
    assert sorted(codes.all(), key=str) == [None, None] + ["QVD"] * 6
