"""Erasure under either policy: what leaves, what stays, and that no word is left of a person."""

import hashlib
import json
from decimal import Decimal
from typing import Any

import pytest
from django.db.models import Model

from portal.publication.erasure import ErasurePolicy, erase_participant
from portal.records.models import Tombstone
from portal.records.queries import rows_of
from surveys.audit.models import AuditEntry
from surveys.audit.operations import first_broken_entry
from surveys.intake.models import IdempotentAnswer, Submission, SubmissionItem
from surveys.people.models import Consent, Participant, PersonalLink
from surveys.photos.models import Photo, PhotoKind
from surveys.photos.operations import keep_photo
from surveys.photos.picture import rebuilt
from surveys.sites.models import Site
from surveys.visits.models import Count, Visit
from tests.attacks.canaries import PRIVATE
from tests.factories import calibration, private
from tests.portal.publication.villages import FIRST_AT, Household, release, village, village_group
from tests.surveys.photos.pictures import encoded

pytestmark = pytest.mark.django_db
BOTH = pytest.mark.parametrize("policy", list(ErasurePolicy))
WORD = "zqzq"  # in every free word of the erased person


@pytest.fixture
def homes() -> list[Household]:
    """Return a village with a release, whose first person left a word in every place."""
    homes = village(village_group(), range(7))
    release(1)
    person, visit = homes[0].participant, homes[0].visit
    Participant.objects.filter(pk=person.pk).update(
        code=f"{WORD}-code", household=f"{WORD}-house", name=f"{WORD} name", contact=f"{WORD}@x.org"
    )
    Participant.objects.filter(pk=person.pk).update(shown_name=f"{WORD} shown", orcid=WORD)
    Site.objects.filter(pk=homes[0].site.pk).update(code=f"{WORD}-site")
    Visit.objects.filter(pk=visit.pk).update(client_ref=f"{WORD}-ref", note=WORD)
    for home in homes[:1]:
        home.participant.refresh_from_db()
        home.visit.refresh_from_db()
    review = private.ReviewFactory.create(visit=visit, message=WORD)
    private.AppealFactory.create(against=review, text=WORD)
    private.CheckOutcomeFactory.create(visit=visit, comment=WORD)
    private.ReviewClaimFactory.create(visit=visit)
    private.DoublePairFactory.create(first=visit, second=homes[1].visit)
    private.PersonalLinkFactory.create(participant=person)
    calibration.CalibrationTrialFactory.create(observer=person, client_ref=f"{WORD}-trial")
    private.ConsentFactory.create(participant=person, purpose="photos", evidence_ref=WORD)
    keep_photo(
        visit=visit, pit_number=1, kind=PhotoKind.SOIL, picture=rebuilt(encoded()), at=FIRST_AT
    )
    sent_by(homes)
    return homes


def sent_by(homes: list[Household]) -> None:
    """Keep what the group sent: a batch of two people, and the answer to it."""
    first, other = homes[0], homes[1]
    told = {
        "visits": [
            {"client_ref": one.visit.client_ref, "participant": one.participant.code, "note": note}
            for one, note in ((first, WORD), (other, "Dry."))
        ]
    }
    body = json.dumps(told).encode()
    sent = private.SubmissionFactory.create(group=first.visit.group, body=body)
    for position, home in enumerate((first, other)):
        SubmissionItem.objects.create(
            submission=sent,
            position=position,
            client_ref=home.visit.client_ref,
            outcome="stored",
            visit=home.visit,
            faults=[{"received": WORD}] if home is first else [],
        )
    for key, answer in (("k1", {"submission": str(sent.public_key)}), ("k2", {"errors": []})):
        IdempotentAnswer.objects.create(
            group=first.visit.group,
            key=key,
            request_sha256="0" * 64,
            status=200,
            answer=answer,
            created_at=FIRST_AT,
        )


def erased(home: Household, policy: ErasurePolicy) -> int:
    return erase_participant(
        participant=Participant.objects.get(pk=home.participant.pk),
        policy=policy,
        at=FIRST_AT,
        by="participant QVD/code",
    )


def where_words_stand(word: str) -> set[str]:
    """Return the private tables with a word in any field of any row."""
    return {model.__name__ for model in PRIVATE for row in rows(model) if word in row}


def rows(model: type[Model]) -> list[str]:
    return [" ".join(map(as_text, row)) for row in model._base_manager.values_list()]


def as_text(value: Any) -> str:
    return bytes(value).decode() if isinstance(value, bytes | memoryview) else str(value)


@BOTH
def test_old_words_stand_nowhere_but_the_code_in_the_trail(
    homes: list[Household], policy: ErasurePolicy
) -> None:
    before = where_words_stand(WORD)

    erased(homes[0], policy)

    assert before >= {"Participant", "Site", "Visit", "Submission", "Appeal", "CalibrationTrial"}
    assert where_words_stand(WORD) == {"AuditEntry"}
    assert where_words_stand(f"{WORD} name") == where_words_stand(f"{WORD}-house") == set()
    assert first_broken_entry() is None


@BOTH
def test_records_leave_all_releases_and_tombstones_stay(
    homes: list[Household], policy: ErasurePolicy
) -> None:
    public_id = Visit.objects.get(pk=homes[0].visit.pk).public_id

    withdrawn = erased(homes[0], policy)

    assert public_id is not None
    assert rows_of(1)["visits"] == 6
    assert withdrawn == Tombstone.objects.count() > 0
    assert Tombstone.objects.get(id=public_id).reason_class == "erasure"
    assert not Photo.objects.exists()
    assert not PersonalLink.objects.exists()
    assert release(2).number == 2


@BOTH
def test_others_keep_what_is_theirs(homes: list[Household], policy: ErasurePolicy) -> None:
    erased(homes[0], policy)

    sent = Submission.objects.get()
    kept = json.loads(bytes(sent.body))["visits"]
    assert kept[0] == {"erased": True}
    assert (kept[1]["participant"], kept[1]["note"]) == ("P01", "Dry.")
    assert sent.body_sha256 == hashlib.sha256(bytes(sent.body)).hexdigest()
    assert list(sent.items.values_list("client_ref", flat=True)) == ["", "V01"]
    assert list(IdempotentAnswer.objects.values_list("key", flat=True)) == ["k2"]
    assert Consent.objects.count() == 6
    assert Visit.objects.filter(state="accepted").count() == 6


def test_unlinked_science_keeps_counts_and_day_with_nothing_that_leads_to_a_person(
    homes: list[Household],
) -> None:
    counts = Count.objects.count()

    erased(homes[0], ErasurePolicy.UNLINK)

    visit = Visit.objects.get(pk=homes[0].visit.pk)
    person, site = visit.participant, visit.site
    assert Count.objects.count() == counts
    assert visit.visited_on == homes[0].visit.visited_on
    assert (site.latitude, site.longitude) == (Decimal("52.9"), Decimal("-0.7"))
    assert visit.public_id is None
    assert (person.name, person.contact, person.orcid, person.born_on) == ("", "", "", None)
    trail = AuditEntry.objects.values_list("at", flat=True)
    assert not {visit.received_at, person.joined_at} & set(trail)
    keys = {visit.client_ref, site.code, person.code, person.household}
    assert len(keys) == 3  # code and household are the same random word
    told = " ".join(map(str, AuditEntry.objects.values_list()))
    assert not [key for key in keys if key in told]


def test_removed_science_is_gone(homes: list[Household]) -> None:
    erased(homes[0], ErasurePolicy.REMOVE)

    assert not Participant.objects.filter(pk=homes[0].participant.pk).exists()
    assert not Site.objects.filter(pk=homes[0].site.pk).exists()
    assert not Visit.objects.filter(pk=homes[0].visit.pk).exists()
    assert Visit.objects.count() == 6


@BOTH
def test_place_where_somebody_else_dug_goes_to_them(
    homes: list[Household], policy: ErasurePolicy
) -> None:
    private.VisitFactory.create(participant=homes[1].participant, site=homes[0].site)

    erased(homes[0], policy)

    site = Site.objects.get(pk=homes[0].site.pk)
    assert (site.owner, site.latitude) == (homes[1].participant, homes[0].site.latitude)


def test_trail_tells_of_the_erasure_without_a_name(homes: list[Household]) -> None:
    erased(homes[0], ErasurePolicy.UNLINK)

    entry = AuditEntry.objects.filter(action="participant erased").get()
    assert (entry.subject_key, entry.detail) == (f"QVD/{WORD}-code", {"policy": "unlink"})
