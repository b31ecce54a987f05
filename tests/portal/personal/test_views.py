"""What a participant sees, and the two steps of taking back."""

import json
import re
from datetime import timedelta
from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from portal.personal import leaving
from portal.records.models import ReleaseFile, Tombstone
from portal.records.queries import rows_of
from surveys.audit.models import AuditEntry
from surveys.people.models import Consent, Participant, PersonalLink
from surveys.visits.models import Visit
from tests.api.answers import bytes_of
from tests.factories.private import ConsentFactory, ParticipantFactory, PitFactory, VisitFactory
from tests.portal.personal.conftest import LinkHolder, holder_of_link
from tests.portal.publication.villages import Household

HOSTILE = '"><script>alert(1)</script>'
EVERYTHING = {"everything": "yes"}


def database() -> dict[str, Any]:
    """Return what no visit to a page may change."""
    return {
        model.__name__: list(model.objects.order_by("pk").values())
        for model in (Visit, Consent, Tombstone, ReleaseFile, AuditEntry, PersonalLink)
    }


def links(text: str) -> set[str]:
    return {unescape(link) for link in re.findall(r'(?:href|action)="([^"#][^"]*)"', text)}


def last_answer(participant: Participant) -> str:
    return str(participant.consents.order_by("-id")[0].decision)


def second_record(home: Household, **facts: Any) -> Visit:
    """Add an unpublished visit of the same participant."""
    visit = VisitFactory.create(participant=home.participant, client_ref="V 2/ü", **facts)
    PitFactory.create(visit=visit, habitat="hedge")
    return visit


def test_page_shows_records_releases_address_and_consents(
    homes: list[Household], holder: LinkHolder
) -> None:
    ConsentFactory.create(
        participant=homes[0].participant, purpose="photos", decision="refused", given_by="guardian"
    )

    text = holder.page()

    public_id = Visit.objects.get(pk=homes[0].visit.pk).public_id
    assert '<time datetime="2025-04-12">12 April 2025</time>, lawn and flower bed</h3>' in text
    assert "Published since release 1." in text
    assert 'Went into release <a href="/releases/1">1</a>.' in text
    assert f'href="http://localhost:8000/id/visit/{public_id}"' in text
    assert "Publish records, anonymous and blurred</dt> <dd> Agreed on 13 February 2025." in text
    assert (
        "Keep and show photos</dt> <dd> Not agreed, on 13 February 2025. "
        "Answered by a parent or guardian." in text
    )


@pytest.mark.parametrize(
    ("answer", "words"),
    [
        ({"ends_on": "2025-03-01"}, "Agreed, but this ended on 1 March 2025."),
        ({"ends_on": "2999-03-01"}, "Agreed on 13 February 2025, until 1 March 2999."),
        ({"decision": "withdrawn"}, "Taken back on 13 February 2025."),
        ({"decision": "pending"}, "Asked on 13 February 2025, not answered yet."),
    ],
)
@pytest.mark.django_db
def test_consent_stands_in_words(answer: dict[str, Any], words: str) -> None:
    participant = ParticipantFactory.create()
    ConsentFactory.create(participant=participant, **answer)

    assert words in holder_of_link(participant).page()


@pytest.mark.django_db
def test_page_of_somebody_without_records_or_consent_offers_nothing_to_take_back() -> None:
    text = holder_of_link(ParticipantFactory.create()).page()

    assert "Nothing has been sent in under your code." in text
    assert "Without your consent none of your records is published." in text
    assert "/withdrawal" not in text


def test_every_link_of_every_page_leads_somewhere(
    homes: list[Household], holder: LinkHolder
) -> None:
    second_record(homes[0])
    holder.confirm(record="V 2/ü")
    pages = ("", "/withdrawal", "/withdrawn", "/nowhere")

    found = set().union(
        *(links(holder.get(below).content.decode()) for below in pages if below != "/nowhere"),
        links(Client().get("/my/nothing").content.decode()),
    )

    assert f"{holder.home}/data.json" in found
    for link in found - {"data:,"}:
        path = link.removeprefix("http://localhost:8000")
        assert path.startswith("/"), f"{link} leads out"
        answer = holder.browser.get(path)
        assert answer.status_code in {200, 303}, link
        bytes_of(answer)


@pytest.mark.parametrize("below", ["", "/withdrawal", "/withdrawal?record=V00", "/withdrawn"])
def test_page_has_language_title_one_heading_and_no_script(holder: LinkHolder, below: str) -> None:
    text = holder.get(below).content.decode()

    assert '<html lang="en">' in text
    assert re.search(r"<title>[^<]+</title>", text)
    assert text.count("<h1") == 1
    assert "<script" not in text
    assert not re.search(r"\son\w+=|style=", text)


def test_looking_changes_nothing(homes: list[Household], holder: LinkHolder) -> None:
    second_record(homes[0])
    before = database()

    for below in ("", "/withdrawal", "/withdrawal?record=V00", "/withdrawn", "/data.json"):
        for ask in (holder.browser.get, holder.browser.head, holder.browser.options):
            bytes_of(ask(holder.home + below))
    holder.get("/withdrawal", everything="yes", confirm="yes", csrfmiddlewaretoken="x")

    assert database() == before


def test_first_step_says_exactly_what_would_leave_and_what_stays(
    homes: list[Household], holder: LinkHolder
) -> None:
    second_record(homes[0])

    one = holder.page("/withdrawal", record="V00")
    everything = holder.page("/withdrawal")

    leaves = "Leaves release 1, with its pits and counts."
    assert one.count("<h3>") == one.count(leaves) == 1
    assert "Your other records and your consents stay as they are." in one
    assert (everything.count("<h3>"), everything.count(leaves)) == (2, 1)
    assert "Was never published, and will not be." in everything
    assert "Your consent to publish ends too." in everything
    for text in (one, everything):
        assert "and the words “consent withdrawn”" in text
        assert "can't be called back" in text
        assert text.count('<form method="post"') == 1
        assert "csrfmiddlewaretoken" in text


@pytest.mark.parametrize("reference", ["V99", "V01", "", HOSTILE, "V00\x00"])
def test_record_of_nobody_or_somebody_else_leads_back(
    homes: list[Household], holder: LinkHolder, reference: str
) -> None:
    asked = holder.get("/withdrawal", record=reference)
    sent = holder.confirm(record=reference)

    assert (asked.status_code, asked.headers["Location"]) == (303, holder.home)
    assert (sent.status_code, sent.headers["Location"]) == (303, f"{holder.home}/withdrawn")
    states = Visit.objects.filter(pk__in=[home.visit.pk for home in homes])
    assert set(states.values_list("state", flat=True)) == {"accepted"}
    assert not Tombstone.objects.exists()


def test_confirmed_record_leaves_at_once_and_the_rest_stays(
    homes: list[Household], holder: LinkHolder
) -> None:
    second_record(homes[0])

    answer = holder.confirm(record="V00")

    assert (answer.status_code, answer.headers["Location"]) == (303, f"{holder.home}/withdrawn")
    public_id = Visit.objects.get(pk=homes[0].visit.pk).public_id
    stone = Client().get(f"/id/visit/{public_id}")
    assert (stone.status_code, stone.json()["reason_class"]) == (410, "consent_withdrawn")
    assert rows_of(1)["visits"] == 5
    states = homes[0].participant.visits.order_by("id").values_list("state", flat=True)
    assert list(states) == ["withdrawn", "in_review"]
    assert not Consent.objects.filter(decision="withdrawn").exists()
    entry = AuditEntry.objects.filter(action="visit withdrawn").get()
    assert (entry.actor, entry.subject_key) == ("participant QVD/P00", "QVD/V00")
    today = f"{timezone.now():%Y-%m-%d}"
    assert stone.json()["withdrawn_on"] == today
    text = holder.page("/withdrawn")
    assert "1 record is off every open page, answer and file." in text
    assert "Your consent to publish stands." in text
    assert "One other record of yours stays as it is." in text
    assert "P00" not in stone.content.decode()


def test_confirming_everything_ends_the_consent_and_uses_the_link_up(
    homes: list[Household], holder: LinkHolder
) -> None:
    second_record(homes[0])

    holder.confirm(**EVERYTHING)

    participant = homes[0].participant
    assert set(participant.visits.values_list("state", flat=True)) == {"withdrawn"}
    assert last_answer(participant) == "withdrawn"
    assert rows_of(1)["visits"] == 5
    text = holder.page("/withdrawn")
    assert "2 records are off every open page, answer and file." in text
    assert "There is no consent to publish in force" in text
    assert "It only shows from now on." in holder.page()


@pytest.mark.parametrize("sent", [EVERYTHING, {"record": "V00"}])
def test_repeating_is_harmless(
    homes: list[Household], holder: LinkHolder, sent: dict[str, str]
) -> None:
    second_record(homes[0])
    holder.confirm(**sent)
    after_first = database()

    answer = holder.confirm(**sent)

    assert answer.headers["Location"] == f"{holder.home}/withdrawn"
    assert database() == after_first


def test_used_up_link_does_not_touch_what_comes_later(
    homes: list[Household], holder: LinkHolder
) -> None:
    holder.confirm(**EVERYTHING)
    ConsentFactory.create(participant=homes[0].participant, decided_at=timezone.now())
    newcomer = second_record(homes[0], state="accepted")

    for sent in (EVERYTHING, {"record": newcomer.client_ref}):
        holder.confirm(**sent)
        query = {} if sent is EVERYTHING else sent
        assert holder.get("/withdrawal", **query).headers["Location"] == holder.home

    newcomer.refresh_from_db()
    assert newcomer.state == "accepted"
    assert last_answer(homes[0].participant) == "given"
    assert "/withdrawal" not in holder.page()


def test_consent_alone_can_be_ended(db: None) -> None:
    del db
    participant: Participant = ConsentFactory.create().participant
    holder = holder_of_link(participant)
    assert "You have no record that stands." in holder.page("/withdrawal")

    holder.confirm(**EVERYTHING)

    assert last_answer(participant) == "withdrawn"
    assert "No record of yours was taken back." in holder.page("/withdrawn")


def test_form_from_elsewhere_is_refused_in_plain_words(
    homes: list[Household], holder: LinkHolder
) -> None:
    browser = Client(enforce_csrf_checks=True)
    address = f"{holder.home}/withdrawal"
    without_mark = browser.post(address, EVERYTHING)
    text = browser.get(address).content.decode()
    mark = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', text)
    assert mark is not None
    sent = EVERYTHING | {"csrfmiddlewaretoken": mark[1]}

    elsewhere = browser.post(address, sent, headers={"Origin": "https://elsewhere.example"})

    for answer in (without_mark, elsewhere):
        assert answer.status_code == 403
        assert "Nothing was taken back" in answer.content.decode()
        assert answer.headers["Cache-Control"] == "private, no-store"
    assert homes[0].participant.visits.get().state == "accepted"
    own = browser.post(address, sent, headers={"Origin": "http://testserver"})
    assert own.status_code == 303
    assert homes[0].participant.visits.get().state == "withdrawn"


def test_withdrawal_that_fails_half_way_leaves_everything(
    homes: list[Household], holder: LinkHolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(**_: Any) -> None:
        msg = "disk full"
        raise OSError(msg)

    monkeypatch.setattr(leaving, "use_up", fail)
    before = database()

    answer = holder.confirm(**EVERYTHING)

    assert answer.status_code == 503
    assert database() == before
    assert homes[0].participant.visits.get().state == "accepted"


def test_texts_of_the_group_are_shown_as_text(db: None) -> None:
    del db
    participant = ParticipantFactory.create(group__name=HOSTILE)
    VisitFactory.create(participant=participant, client_ref=HOSTILE)
    holder = holder_of_link(participant)

    for below in ("", f"/withdrawal?record={HOSTILE}"):
        text = holder.get(below).content.decode()
        assert "<script" not in text
        assert "&lt;script" in text or "%3Cscript" in text


def test_data_come_as_a_file_of_their_own(holder: LinkHolder) -> None:
    answer = holder.get("/data.json")

    assert answer.headers["Content-Type"] == "application/json"
    assert answer.headers["Content-Disposition"] == 'attachment; filename="my-soil-records.json"'
    assert answer.streaming
    made = json.loads(bytes_of(answer))
    assert [visit["reference"] for visit in made["visits"]] == ["V00"]
    assert made["participant"]["code"] == "P00"


def test_page_names_the_end_of_the_link(homes: list[Household]) -> None:
    made_at = timezone.now() - timedelta(days=1)
    holder = holder_of_link(homes[0].participant, at=made_at)

    assert f"works until {made_at + timedelta(days=7):%-d %B %Y, %H:%M} UTC" in holder.page()


def test_erasing_is_explained_first_and_changes_nothing(holder: LinkHolder) -> None:
    before = database()

    text = holder.page("/erasure")
    unsure = holder.browser.post(f"{holder.home}/erasure", {"erase": "perhaps"})

    assert "Step 1 of 2: read what would happen. Nothing has changed yet." in text
    assert "Would less be enough?" in text
    assert "a place of a tenth of a degree" in text
    assert f'action="{holder.home}/erasure"' in text
    assert f'href="{holder.home}/erasure"' in holder.page()
    assert (unsure.status_code, unsure.headers["Location"]) == (303, f"{holder.home}/erasure")
    assert database() == before


@pytest.mark.parametrize(
    ("policy", "words", "people"),
    [
        ("unlink", "Your pits and counts are kept without any link to you.", 6),
        ("remove", "Your pits and counts are removed.", 5),
    ],
)
def test_confirmed_erasure_ends_the_person_and_the_page(
    homes: list[Household], holder: LinkHolder, settings: Any, policy: str, words: str, people: int
) -> None:
    settings.ERASURE = policy
    public_id = Visit.objects.get(pk=homes[0].visit.pk).public_id

    answer = holder.browser.post(f"{holder.home}/erasure", {"erase": "yes"})

    assert answer.status_code == 200
    assert words in " ".join(answer.content.decode().split())
    assert holder.get().status_code == 404
    assert not Participant.objects.filter(code="P00").exists()
    assert Participant.objects.count() == people
    stone = Client().get(f"/id/visit/{public_id}")
    assert (stone.status_code, stone.json()["reason_class"]) == (410, "erasure")


def test_erasing_is_still_open_after_everything_was_taken_back(
    homes: list[Household], holder: LinkHolder
) -> None:
    holder.confirm(**EVERYTHING)

    answer = holder.browser.post(f"{holder.home}/erasure", {"erase": "yes"})

    assert answer.status_code == 200
    assert not Participant.objects.filter(pk=homes[0].participant.pk, code="P00").exists()
