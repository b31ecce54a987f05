"""Attacks on what has left: old addresses, caches, tombstones, checksums, stricter consent.

Numbers 17, 25, 26, 33, 36, 37 and 38 of the list. One story: seven gardens in a cell, a school
far off; the school leaves, then a garden leaves. The attacker has kept every address.
"""

import hashlib
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from portal.publication.changed_places import correct_place
from portal.publication.withdrawal import ReasonClass, withdraw_visits
from portal.records.models import PublishedVisit
from portal.records.vocabularies import VOCABULARIES
from surveys.sites.models import Site
from surveys.sites.operations import CorrectedPlace
from surveys.visits.models import Visit
from tests.architecture.doors import UNKNOWN
from tests.attacks.conftest import Tell
from tests.attacks.scene import (
    COLLECTIONS,
    Answer,
    Answers,
    everything_public,
    freeze,
    json_of,
    nothing,
    read,
    rows_of,
)
from tests.attacks.unpacking import texts_of
from tests.portal.publication.villages import (
    FIRST_AT,
    fixed_mint,
    household,
    release,
    village,
    village_group,
)

FAR_SCHOOL = {"place_kind": "school_ground", "latitude": "51.4412345", "longitude": "-0.9234567"}
OF_THE_SCHOOL = re.compile(rb"(?<![\d.])51[.,][45]")  # edge or centre of its cell of 0.1 degree
CONDITIONS: tuple[dict[str, str], ...] = (
    {},
    {"Range": "bytes=0-99"},
    {"If-None-Match": "ETAG"},
    {"If-None-Match": "*"},
    {"If-Modified-Since": "Fri, 01 Jan 2038 00:00:00 GMT"},
    {"If-Range": "ETAG", "Range": "bytes=0-99"},
    {"Cache-Control": "only-if-cached"},
)
ID = re.compile(r"[0-9a-f]{8}-[0-9a-f-]{27}")
KEPT = [f"/files/1/1/{name}" for name in ("archive.zip", "pits.csv", "visits.parquet")]
DESCRIBED = (
    *("/catalogue", "/dataset", "/releases/1", "/features/collections/visits"),
    *("/oai?verb=ListRecords&metadataPrefix=eml", "/api/v1/visits?limit=1000", *KEPT),
)
Rows = list[dict[str, Any]]


@dataclass
class Loot:
    """What was kept before, and what the old addresses answer afterwards."""

    gone: dict[str, str] = field(default_factory=dict)
    school: dict[str, str] = field(default_factory=dict)
    before: Answers = field(default_factory=dict)
    again: dict[tuple[str, str, str], Answer] = field(default_factory=dict)
    after: Answers = field(default_factory=dict)
    stones: dict[str, Any] = field(default_factory=dict)
    frozen: dict[str, Any] = field(default_factory=dict)
    thawed: dict[str, Any] = field(default_factory=dict)
    credits: list[Any] = field(default_factory=list)
    shown: list[int] = field(default_factory=list)


def leave(ref: str, *, days: int) -> None:
    withdraw_visits(
        visits=Visit.objects.filter(client_ref=ref),
        reason_class=ReasonClass.ERASURE,
        at=FIRST_AT + timedelta(days=days),
        by="group QVD",
    )


def ids_of(ref: str) -> dict[str, str]:
    visit = Visit.objects.get(client_ref=ref)
    pit = visit.pits.order_by("id")[0]
    count = pit.phases.order_by("id")[0].counts.order_by("id")[0]
    found = {"visit": visit.public_id, "pit": pit.public_id, "occurrence": count.public_id}
    return {kind: str(public_id) for kind, public_id in found.items()}


def raid() -> Loot:
    loot = Loot()
    group = village_group(named_publicly=True)
    village(group, range(6))
    household(group, 7, site=FAR_SCHOOL)
    release(1, mint=fixed_mint)
    loot.gone, loot.school = ids_of("V02"), ids_of("V07")
    loot.before = {address: read(address) for address in DESCRIBED}
    pit = loot.gone["pit"]
    loot.frozen = freeze(f"/api/v1/pits?pit_id={pit}&fields=id,habitat,moisture")
    leave("V07", days=1)
    leave("V02", days=2)
    loot.after = everything_public()
    loot.again = dict(asked_again(loot))
    loot.stones = {kind: read(f"/id/{kind}/{public_id}") for kind, public_id in loot.gone.items()}
    loot.thawed = json_of(f"/api/v1/snapshots/{loot.frozen['id']}")["data"]
    loot.credits = json_of("/api/v1/groups?release=1")["data"]
    loot.shown = [len(rows_of("visits", "&release=1"))]
    return loot


def asked_again(loot: Loot) -> Iterator[tuple[tuple[str, str, str], Answer]]:
    """Ask for every address that held a withdrawn row, in every way that a cache would."""
    collections = {"visit": "visits", "pit": "pits", "occurrence": "counts"}
    addresses = [*KEPT]
    for kind, public_id in loot.gone.items():
        name = collections[kind]
        addresses += [f"/api/v1/{name}/{public_id}", f"/api/v1/{name}/{public_id}?release=1"]
        addresses += [f"/id/{kind}/{public_id}"]
    for address in addresses:
        etag = loot.before[address].headers["ETag"] if address in loot.before else '"kept"'
        for sent in CONDITIONS:
            headers = {name: value.replace("ETAG", etag) for name, value in sent.items()}
            for method in ("get", "head"):
                yield (address, method, str(sent)), read(address, method, **headers)


@pytest.fixture(scope="module")
def loot(tell: Tell) -> Loot:
    """Return what is left after both have left."""
    loot: Loot = tell(nothing, raid)
    return loot


def test_old_address_says_gone_however_it_is_asked(loot: Loot) -> None:
    """25, 26: by old address, range, If-None-Match, HEAD; 410, never 304, 206 or 200."""
    assert len(loot.again) == 12 * len(CONDITIONS) * 2
    assert {one: answer.status for one, answer in loot.again.items() if answer.status != 410} == {}


def test_no_withdrawn_id_stands_in_what_can_still_be_had(loot: Loot) -> None:
    """25: the new build lacks the rows, and so does everything else but feed and change lists."""
    ids = [one.encode() for one in (*loot.gone.values(), *loot.school.values())]
    told = ("/api/v1/changes", "/api/v1/releases/1/changes", "/oai")
    found = {
        address
        for address, answer in loot.after.items()
        if answer.status == 200 and not address.startswith(told)
        for text in texts_of(answer)
        if any(one in text for one in ids)
    }

    assert sum(address.startswith("/files/1/3/") for address in loot.after) > 5
    assert found == set()


def test_tombstone_holds_id_day_and_reason_only(loot: Loot) -> None:
    """26: what is left of a record; no group, no place, no time of day."""
    problem = {"type", "title", "status", "detail", "instance"}  # RFC 9457
    for kind, answer in loot.stones.items():
        document = json.loads(answer.body)

        assert set(document) - problem == {"id", "kind", "withdrawn_on", "reason_class"}
        assert document["id"] == loot.gone[kind]
        assert document["withdrawn_on"] == "2025-07-02"


def test_place_that_left_stands_in_no_box(loot: Loot) -> None:
    """33: read the old extent off metadata, feature collections, catalogue and file footers."""
    before = [
        address
        for address, answer in loot.before.items()
        if any(OF_THE_SCHOOL.search(text) for text in texts_of(answer))
    ]
    left = {
        address
        for address, answer in loot.after.items()
        if answer.status == 200 and "openapi" not in address
        for text in texts_of(answer)
        if OF_THE_SCHOOL.search(text)
    }

    assert len(before) >= 6, "it stood there before"
    assert left == set()


def test_credits_are_those_of_rows_that_are_shown(loot: Loot) -> None:
    """36: take shown visits from credited ones to learn whose the withdrawn or hidden ones were."""
    credited = sum(one["visits"] for one in loot.credits)

    assert credited == loot.shown[0]


def guesses(loot: Loot) -> Iterator[bytes]:
    """Yield the row as NDJSON with each pair of words of two vocabularies."""
    for habitat in VOCABULARIES["habitat"]:
        for moisture in [*VOCABULARIES["moisture"], None]:
            row = {"id": loot.gone["pit"], "habitat": habitat, "moisture": moisture}
            yield json.dumps(row, separators=(",", ":"), ensure_ascii=False).encode() + b"\n"


def test_checksum_of_a_snapshot_does_not_give_a_withdrawn_row_back(loot: Loot) -> None:
    """Freeze one row in few columns; once it is withdrawn, try all rows until the checksum fits.

    The id stands on the tombstone, and a few words of closed vocabularies are soon tried.
    """
    told = json.dumps(loot.thawed)
    tried = {hashlib.sha256(guess).hexdigest() for guess in guesses(loot)}

    assert len(tried) > 20
    assert [one for one in tried if one in told] == []


def test_the_same_guesses_find_the_row_while_it_stands(loot: Loot) -> None:
    """The program must be able to win: the checksum fits one of the guesses."""
    told = json.dumps(loot.frozen)

    assert sum(hashlib.sha256(guess).hexdigest() in told for guess in guesses(loot)) == 1


@dataclass(frozen=True)
class Hidden:
    """Ids of rows that are out of sight, what they answer, and what unknown ids answer."""

    answers: dict[str, Answer]
    unknown: dict[str, Answer]
    statements: dict[str, tuple[int, int]]


ADDRESSES = (
    *("/api/v1/visits/{}", "/api/v1/visits/{}?release=1", "/id/visit/{}"),
    *("/features/collections/visits/items/{}", "/id/site/{}", "/api/v1/visits?site_id={}"),
)


@pytest.fixture(scope="module")
def hidden(tell_rows: Tell) -> Hidden:
    """Return what is answered of rows that were hidden as their group became too small."""

    def too_few() -> None:
        village(village_group(), range(5))
        release(1, mint=fixed_mint)
        for number in range(3):
            leave(f"V{number:02}", days=number + 1)

    def ask() -> Hidden:
        row = PublishedVisit.objects.filter(hidden=True)[0]
        ids = {shape: str(row.site_id if "site" in shape else row.id) for shape in ADDRESSES}
        return Hidden(
            answers={one: read(one.format(ids[one])) for one in ADDRESSES},
            unknown={one: read(one.format(UNKNOWN)) for one in ADDRESSES},
            statements={
                one: (statements(one.format(ids[one])), statements(one.format(UNKNOWN)))
                for one in ADDRESSES
            },
        )

    found: Hidden = tell_rows(too_few, ask)
    return found


def statements(address: str) -> int:
    """Return how many statements an answer costs the database, which is most of its time."""
    with CaptureQueriesContext(connection) as captured:
        read(address)
    return len(captured.captured_queries)


@pytest.mark.parametrize("shape", ADDRESSES)
def test_hidden_id_is_as_unknown_as_none(hidden: Hidden, shape: str) -> None:
    """17: unknown id or hidden id; same status, words, length and headers, and the same work."""
    theirs, none = hidden.answers[shape], hidden.unknown[shape]

    assert theirs.status == none.status
    assert len(theirs.body) == len(none.body)
    assert without_ids(theirs) == without_ids(none)
    assert hidden.statements[shape][0] == hidden.statements[shape][1]


def without_ids(answer: Answer) -> tuple[str, list[tuple[str, str]]]:
    """Return an answer without the id asked for, and without what follows from it or is counted."""
    left = {name: answer.headers[name] for name in answer.headers.keys() - {"RateLimit", "ETag"}}
    headers = sorted((name, ID.sub("ID", value)) for name, value in left.items())
    return ID.sub("ID", answer.body.decode()), headers


@dataclass(frozen=True)
class Stricter:
    """Rows of the site whose owner asked for more protection: before, at once, and next release."""

    before: Rows
    at_once: dict[str, int]
    later: Rows


@pytest.fixture(scope="module")
def stricter(tell_rows: Tell) -> Stricter:
    """Tell of five coarse gardens and six fine ones; a fine one becomes coarse."""

    def story() -> None:
        group = village_group()
        village(group, range(6))
        coarse = {"place_detail": "coarse", "latitude": Decimal("52.8112345")}
        for number in range(10, 15):
            household(group, number, site=coarse)
        release(1, mint=fixed_mint)

    def ask() -> Stricter:
        site = Site.objects.get(code="garden-3")
        before = rows_of("visits", f"&site_id={site.public_id}")
        place = CorrectedPlace(
            latitude=site.latitude,
            longitude=site.longitude,
            uncertainty_m=5.0,
            placed_by_hand=False,
            place_kind=site.place_kind,
            place_detail="coarse",
        )
        correct_place(site=site, place=place, at=FIRST_AT + timedelta(days=1), by="group QVD")
        old = before[0]["site_id"]
        at_once = {name: len(rows_of(name, f"&site_id={old}&release=1")) for name in COLLECTIONS}
        release(2, mint=fixed_mint)
        site.refresh_from_db()
        return Stricter(before, at_once, rows_of("visits", f"&site_id={site.public_id}"))

    found: Stricter = tell_rows(story, ask)
    return found


def test_stricter_wish_holds_at_once_and_under_other_ids(stricter: Stricter) -> None:
    """37: read at once and after the next release; the finer place is gone, and so are its ids."""
    assert [row["cell"] for row in stricter.before] == ["0.01|52.88|-0.73"]
    assert stricter.at_once == dict.fromkeys(COLLECTIONS, 0)
    assert [row["cell"] for row in stricter.later] == ["0.1|52.8|-0.8"]
    assert {row["id"] for row in stricter.before} & {row["id"] for row in stricter.later} == set()
