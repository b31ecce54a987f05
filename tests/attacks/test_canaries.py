"""Canaries in every private field, over the whole life of records: none comes out anywhere.

Numbers 15, 16, 22, 27 and 32 of the list, and P1 of the security tests: send, refuse, ask back,
review, publish, correct, withdraw. Searched are all public addresses and files at every turn,
error texts, headers, the descriptions of the service and the log.
"""

import io
import logging
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import timedelta
from decimal import Decimal
from functools import cached_property
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.utils.module_loading import import_string
from factory.django import DjangoModelFactory

from portal.blurring import GeneralisationRules
from portal.harvesters.models import Acknowledgement
from portal.harvesters.operations import register
from portal.publication.changed_places import correct_place
from portal.publication.models import GeneralisationSetting, SettingConfirmation
from portal.publication.withdrawal import ReasonClass, withdraw_participant
from portal.records.operations import add_entry
from surveys.people.models import ConsentEvidence, Group
from surveys.photos.models import PhotoKind
from surveys.photos.operations import keep_photo
from surveys.photos.picture import rebuilt
from surveys.protocol.models import TaxonSensitivity
from surveys.sites.models import ExactPermission, Site
from surveys.sites.operations import CorrectedPlace
from surveys.visits.models import Pit
from tests.api.holders import ALL_OF_A_GROUP, SUBMISSIONS, VISITS, holder_of
from tests.attacks.canaries import (
    EXEMPT,
    PLAIN,
    PRIVATE,
    Mark,
    found_in,
    name_of,
    plant,
    planted_fields,
)
from tests.attacks.conftest import Tell
from tests.attacks.scene import Answer, Answers, everything_public, nothing, read
from tests.attacks.unpacking import texts_of
from tests.factories import calibration, private
from tests.journeys.actors import Actor
from tests.portal.publication.villages import FIRST_AT, Household, release, village, village_group
from tests.surveys.photos.pictures import CANARY, encoded, planted

pytestmark = pytest.mark.slow
MOVED_TO = Mark(Decimal("52.8899876"), Decimal("-0.7211234"))
SENT = "zqsender"  # a word in what is sent and refused


@dataclass
class Life:
    """What was planted, and everything that came out at each turn of the story."""

    words: dict[bytes, str] = field(default_factory=dict)
    marks: list[Mark] = field(default_factory=list)
    turns: dict[str, Answers] = field(default_factory=dict)
    logged: list[str] = field(default_factory=list)

    @cached_property
    def by_text(self) -> dict[bytes, str]:
        """Return everything that came out, unpacked, and where it stood last."""
        found = {line.encode(): "log" for line in self.logged}
        for turn, answers in self.turns.items():
            for address, answer in answers.items():
                found |= dict.fromkeys(texts_of(answer), f"{turn}: {address}")
        return found

    def texts(self) -> Iterable[tuple[str, bytes]]:
        """Return each text once, after the place where it stood."""
        return ((where, text) for text, where in self.by_text.items())


@contextmanager
def overheard(lines: list[str]) -> Iterator[None]:
    """Keep every line that is logged from INFO on, with its arguments and its traceback."""

    class Listener(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            lines.append(logging.Formatter("%(name)s %(message)s").format(record))

    listener, root = Listener(logging.INFO), logging.getLogger()
    before = root.level
    root.addHandler(listener)
    root.setLevel(logging.INFO)
    try:
        yield
    finally:
        root.removeHandler(listener)
        root.setLevel(before)


def lived() -> Life:
    """Live through sending, refusal, review, release, correction and withdrawal."""
    life = Life()
    with overheard(life.logged):
        group = village_group()
        homes = village(group, range(7), note="Ask at the gate.")
        furnish(homes)
        life.words = plant()
        life.marks = placed()
        life.turns["refused"] = refused(group)
        release(1)
        corrected(homes[1])
        life.turns["published"] = everything_public()
        withdraw_participant(
            participant=homes[2].participant,
            reason_class=ReasonClass.ERASURE,
            at=FIRST_AT + timedelta(days=2),
            by="office",
        )
        release(2)
        life.turns["withdrawn"] = everything_public()
    return life


FACTORIES: dict[Any, Any] = {
    factory._meta.model: factory
    for module in (private, calibration)
    for factory in vars(module).values()
    if isinstance(factory, type) and issubclass(factory, DjangoModelFactory) and factory._meta.model
}


def furnish(homes: list[Household]) -> None:
    """Give every private table a row: of the village where it matters, else any."""
    visit, owner = homes[0].visit, homes[0].participant
    made = private.ReviewFactory.create(visit=visit, message="Is it hers?")
    private.AppealFactory.create(against=made)
    private.CheckOutcomeFactory.create(visit=visit)
    private.ReviewClaimFactory.create(visit=visit)
    private.DoublePairFactory.create(
        first=visit,
        second=homes[1].visit,
        verdict="two_visits",
        judged_by=made.reviewer,
        judged_at=FIRST_AT,
    )
    private.PersonalLinkFactory.create(participant=owner)
    for model in (private.AccessTokenFactory, private.SubmissionFactory):
        model.create(group=visit.group)
    line = visit.pits.order_by("id")[0].phases.order_by("id")[0].counts.order_by("id")[0]
    private.DeterminationFactory.create(count=line)
    private.ConsentFactory.create(purpose="photos", participant=owner)
    private.ConsentFactory.create(
        purpose="contact", given_by="guardian", participant=homes[5].participant
    )
    picture = rebuilt(encoded())
    keep_photo(visit=visit, pit_number=1, kind=PhotoKind.SOIL, picture=picture, at=FIRST_AT)
    furnish_the_office(homes[6])
    for model in PRIVATE:
        if model in FACTORIES and not model._base_manager.exists():
            FACTORIES[model].create()


def furnish_the_office(home: Household) -> None:
    """Give the tables of rules, permissions and harvesters a row."""
    day = FIRST_AT.date()
    ExactPermission.objects.create(
        site=home.site,
        participant=home.participant,
        starts_on=day - timedelta(days=90),
        ends_on=day - timedelta(days=60),
        evidence=ConsentEvidence.SPOKEN,
        given_at=FIRST_AT - timedelta(days=90),
    )
    TaxonSensitivity.objects.create(
        scientific_name="Lumbricus badensis", category=3, author="S1", reason="x", made_at=FIRST_AT
    )
    asked = GeneralisationSetting.objects.create(
        rules=GeneralisationRules().as_dict(),
        author="S1",
        reason="x",
        made_at=FIRST_AT,
        needs_second=True,
    )
    SettingConfirmation.objects.create(setting=asked, author="S2", made_at=FIRST_AT)
    harvester, _ = register(name="Gleaner", contact="g@example.org", homepage="", at=FIRST_AT)
    Acknowledgement.objects.create(
        harvester=harvester, entry=add_entry(at=FIRST_AT), acknowledged_at=FIRST_AT
    )


def placed() -> list[Mark]:
    """Give pits and the group's meeting point a place; returns every exact place there is."""
    pits = Mark(Decimal("52.8866543"), Decimal("-0.7277654"))
    meeting = Mark(Decimal("52.9154321"), Decimal("-0.6598765"))
    Pit.objects.update(latitude=pits.latitude, longitude=pits.longitude)
    Group.objects.update(meeting_latitude=meeting.latitude, meeting_longitude=meeting.longitude)
    return [pits, meeting, MOVED_TO, *(Mark(s.latitude, s.longitude) for s in Site.objects.all())]


def refused(group: Group) -> Answers:
    """Send what is refused, and ask what nobody may; returns the answers that strangers get.

    The sender's own answer may quote what was sent; here it is not looked at.
    """
    sender = holder_of(group, *ALL_OF_A_GROUP)
    bad = private.visit_payload(note=SENT, participant=SENT, people_digging=SENT)
    assert sender.post(SUBMISSIONS, {"visits": [bad]}).json()["summary"]["rejected"] == 1
    assert sender.post(SUBMISSIONS, {SENT: SENT}).status_code in {400, 422}
    stranger = holder_of(private.GroupFactory.create(code="OTHER"), *ALL_OF_A_GROUP)
    asked = [VISITS, f"{VISITS}/V01", f"{VISITS}/V01/result", SUBMISSIONS, f"{VISITS}/V01/photos"]
    answers = {f"other group: {one}": kept(stranger.get(one)) for one in asked}
    answers |= {f"nobody: {one}": kept(Actor().get(one)) for one in asked}
    answers |= {one: read(one) for one in ("/my/forged", "/nothing", "/api/v1/visits?note=x")}
    return answers


def kept(answer: Any) -> Answer:
    return Answer(answer.status_code, bytes(answer.content), dict(answer.headers))


def corrected(home: Household) -> None:
    """Put a garden elsewhere in its cell."""
    place = CorrectedPlace(
        latitude=MOVED_TO.latitude,
        longitude=MOVED_TO.longitude,
        uncertainty_m=7.0,
        placed_by_hand=True,
        place_kind="private_garden",
        place_detail="standard",
    )
    site = Site.objects.get(pk=home.site.pk)
    correct_place(site=site, place=place, at=FIRST_AT + timedelta(days=1), by="group QVD")


@pytest.fixture(scope="module")
def life(tell: Tell) -> Life:
    """Return everything that came out of one life."""
    life: Life = tell(nothing, lived)
    return life


@pytest.mark.parametrize("model", PRIVATE, ids=lambda model: model.__name__)
def test_every_field_has_a_canary_or_a_reason(model: Any) -> None:
    left = {
        name_of(field)
        for field in model._meta.concrete_fields
        if field not in planted_fields(model)
        and not (field.choices or field.primary_key or isinstance(field, PLAIN))
    }

    assert left <= set(EXEMPT)


def test_exempt_fields_exist() -> None:
    known = {name_of(field) for model in PRIVATE for field in model._meta.concrete_fields}

    assert set(EXEMPT) <= known


def test_every_field_had_a_canary_in_some_row(life: Life) -> None:
    sown = {where.partition(" of ")[0] for where in life.words.values()}

    assert sown == {name_of(field) for model in PRIVATE for field in planted_fields(model)}


def test_no_word_instant_or_key_comes_out(life: Life) -> None:
    """16: search every text for every canary; a word may not even stand in an error or a log."""
    found = {
        (where, life.words[canary])
        for where, text in life.texts()
        for canary in found_in(text, life.words)
    }

    assert len(life.words) > 300
    assert len(life.by_text) > 400
    assert found == set()


def test_no_exact_place_comes_out_in_any_notation(life: Life) -> None:
    """16: degrees, minutes, seconds, integers and metres of four projections, of every place."""
    found = {
        (where, mark) for where, text in life.texts() for mark in life.marks if mark.stands_in(text)
    }

    assert len(life.marks) == 7 + 3
    assert found == set()


@pytest.mark.parametrize(
    "written",
    [
        "52.8812345, -0.7234567",
        "at 52,8812",
        "(0.7234",
        "528812345",
        "52\N{DEGREE SIGN}52'52.4\"N",
        "52\N{DEGREE SIGN} 52.874' N",
        "0d43m24s W",
        "653187 5861486",
    ],
)
def test_notations_are_recognised(written: str) -> None:
    """The last is UTM zone 30 N by PROJ (EPSG:4326 to EPSG:32630), rounded down to metres."""
    mark = Mark(Decimal("52.8812345"), Decimal("-0.7234567"))

    assert mark.stands_in(written.encode())
    assert not mark.stands_in(b"0.01|52.88|-0.73 52.885 -0.725 152.8812")


def test_what_is_sent_and_refused_reaches_no_stranger_and_no_log(life: Life) -> None:
    """16: words of a refused batch; only its sender may read them again."""
    assert [where for where, text in life.texts() if SENT.encode() in text] == []


def test_cells_stand_where_places_could(life: Life) -> None:
    """Without this, the search could look into empty answers."""
    text = b"".join(text for where, text in life.texts() if "visits?limit=1000" in where)

    assert b"0.01|52.88|-0.73" in text


@pytest.mark.parametrize("hidden_in", planted())
def test_nothing_hidden_in_a_picture_is_kept(hidden_in: str) -> None:
    """15: EXIF, XMP, IPTC, maker notes, thumbnails, appended bytes; none in what is kept.

    No public address shows photos; what is kept for moderators is rebuilt from pixels.
    """
    content = planted()[hidden_in]

    kept_file = rebuilt(content).content

    assert CANARY.encode() in content or hidden_in in {"png-text", "webp", "png-exif"}
    assert CANARY.encode() not in kept_file
    assert b"52" not in kept_file[:20]


def test_error_nobody_foresaw_writes_no_canary_into_the_log(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """16: break a view in the middle of a private row; the answer and the log keep its words.

    The handler has the filters of the settings, and writes where the test can read.
    """
    text = io.StringIO()
    console = logging.StreamHandler(text)
    configured: Any = settings.LOGGING
    for name in configured["handlers"]["console"]["filters"]:
        console.addFilter(import_string(configured["filters"][name]["()"])())
    client.raise_request_exception = False

    def break_down() -> None:
        raise ValueError(SENT)

    monkeypatch.setattr("api.open.about.current_release", break_down)
    logger = logging.getLogger("django.request")
    logger.addHandler(console)
    answer = client.get("/api/v1/status")
    logger.removeHandler(console)

    assert answer.status_code == 500
    assert "ValueError" in text.getvalue()
    assert SENT not in text.getvalue() + answer.content.decode()
