"""Frozen queries over HTTP: the same rows and checksum again, or what was withdrawn since."""

import hashlib
import io
import json
import tracemalloc
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pyarrow.parquet as pq
import pytest
from django.core.cache import cache
from django.utils import timezone

from portal.publication.withdrawal import ReasonClass, withdraw_visits
from portal.records.models import PublishedCount, PublishedPit, PublishedVisit
from portal.snapshots.models import Snapshot, SnapshotIds
from surveys.visits.models import Visit
from tests.api.answers import bytes_of
from tests.factories.published import ChangeEntryFactory, PublishedVisitFactory, ReleaseFactory
from tests.journeys.actors import Actor
from tests.portal.publication.villages import release, village, village_group

SNAPSHOTS = "/api/v1/snapshots"
Story = tuple[Actor, list[Any], dict[str, Any]]
BASE = "http://localhost:8000"


@pytest.fixture(autouse=True)
def no_hourly_limit(settings: Any) -> None:
    """Let a test freeze as often as it likes."""
    settings.SNAPSHOTS_PER_HOUR = 1000


def froze(reader: Actor, query: str) -> dict[str, Any]:
    """Freeze a query that was not frozen yet; return its links beside its facts."""
    answer = reader.post(SNAPSHOTS, {"query": query})
    assert answer.status_code == 201, answer.content
    body = answer.json()
    assert answer.headers["Location"] == body["links"]["self"]
    return {**body["data"], "links": body["links"]}


def ndjson(reader: Actor, snapshot: dict[str, Any]) -> bytes:
    """Return all rows as the checksum is of."""
    return bytes_of(reader.get(snapshot["links"]["ndjson"]))


def without_names(row: dict[str, Any]) -> dict[str, Any]:
    """Return a row as it is frozen: a name may be taken back at any time."""
    return {name: row[name] for name in row if not name.lower().startswith("recorded")}


QUERIES = (
    "/api/v1/visits",
    "/api/v1/pits?habitat=lawn&fields=habitat,found&sort=-people_digging",
    "/api/v1/counts?group=endogeic&stage=adult&sort=-sorting_minutes&release=1",
    "/api/v1/counts?sort=number&fields=number",
    "/api/v1/occurrences?habitat=hedge,lawn&bbox=-1,52,0,53",
)


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("query", QUERIES)
def test_snapshot_is_of_all_rows_of_the_query_in_its_order(reader: Actor, query: str) -> None:
    rows = reader.rows(query)

    snapshot = froze(reader, query)

    content = ndjson(reader, snapshot)
    rows = [without_names(row) for row in rows]
    assert [json.loads(line) for line in content.splitlines()] == rows
    assert snapshot["rows"] == len(rows) > 0
    # Recomputed from the download, as a reader would: sha256sum of NIST FIPS 180-4.
    assert snapshot["sha256"] == hashlib.sha256(content).hexdigest()
    assert snapshot["size_bytes"] == len(content)
    assert reader.rows(f"{snapshot['links']['rows']}?limit=3") == rows


@pytest.mark.usefixtures("small")
def test_descending_with_unknown_values_keeps_them_last(reader: Actor) -> None:
    snapshot = froze(reader, QUERIES[2])

    rows = reader.rows(f"{snapshot['links']['rows']}?limit=2")

    minutes = [row["sorting_minutes"] for row in rows]
    assert minutes == [20, 20, 20, 20, None, None, None, None]


@pytest.mark.usefixtures("small")
def test_facts_of_a_snapshot(reader: Actor) -> None:
    snapshot = froze(reader, f"{BASE}/api/v1/counts?sort=number&habitat=lawn&fields=number&f=csv")

    found = reader.get(snapshot["links"]["self"])

    body = found.json()
    data = body["data"]
    query = "/api/v1/counts?habitat=lawn&release=1&sort=number&fields=id%2Cnumber"
    assert data["query"] == body["meta"]["query"] == query
    assert (data["release"], data["collection"], data["sort"]) == (1, "counts", "number")
    assert data["fields"] == ["id", "number"]
    assert data["page"] == f"{BASE}/snapshots/{data['id']}"
    assert data["citation"] == body["meta"]["citation"]
    assert data["page"] in data["citation"]
    assert data["license"]["id"] == "CC-BY-4.0"
    assert data["state"] == {
        "verdict": "unchanged",
        "rows_now": 16,
        "withdrawn": 0,
        "withdrawn_rows": [],
        "not_shown": 0,
        "retold": 0,
    }
    assert f'<{data["page"]}>; rel="cite-as"' in found.headers["Link"]
    assert reader.rows(query) == reader.rows(
        data["page"].replace("/snapshots", SNAPSHOTS) + "/rows"
    )


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(
    "again",
    [
        "/api/v1/pits?habitat=hedge&habitat=lawn",
        "/api/v1/pits?release=1&habitat=lawn,hedge&f=csv&count=none&limit=all",
        f"{BASE}/api/v1/pits/?habitat=lawn,hedge&sort=sampled_on&bom=true",
    ],
)
def test_same_query_of_the_same_release_is_the_same_snapshot(reader: Actor, again: str) -> None:
    first = froze(reader, "/api/v1/pits?habitat=lawn,hedge")

    answer = reader.post(SNAPSHOTS, {"query": again})

    assert answer.status_code == 200
    assert answer.json()["data"]["id"] == first["id"]
    assert Snapshot.objects.count() == 1


@pytest.mark.usefixtures("small")
def test_name_of_a_recorder_is_not_frozen(reader: Actor) -> None:
    PublishedCount.objects.update(recorded_by="Mara Feldt", recorded_by_id="0000-0000-0000-000X")
    snapshot = froze(reader, "/api/v1/occurrences")

    named = ndjson(reader, snapshot)
    PublishedCount.objects.update(recorded_by=None, recorded_by_id=None)

    assert b"Feldt" not in named
    assert ndjson(reader, snapshot) == named
    assert reader.get(snapshot["links"]["check"]).json()["data"]["equal"] is True


@pytest.mark.usefixtures("small")
def test_current_release_is_resolved_when_it_is_frozen(reader: Actor) -> None:
    first = froze(reader, "/api/v1/visits")
    ReleaseFactory.create(number=2)

    second = froze(reader, "/api/v1/visits")

    assert (first["release"], second["release"]) == (1, 2)
    assert first["id"] != second["id"]


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(
    ("query", "code"),
    [
        ("/api/v1/summary?by=habitat", "parameter-wrong"),
        ("https://elsewhere.example/api/v1/visits", "parameter-wrong"),
        ("//localhost:8000/api/v1/visits", "parameter-wrong"),
        ("/api/v1/visits/7f3c2f4e-6a5e-4a5e-9d0a-0a4f6d9e1b11", "parameter-wrong"),
        ("", "parameter-wrong"),
        ("/api/v1/visits?limit=10", "parameter-wrong"),
        ("/api/v1/visits?cursor=x", "parameter-wrong"),
        ("/api/v1/visits?habitat=moon", "parameter-wrong"),
        ("/api/v1/visits?fields=recorded_by", "parameter-wrong"),
        ("/api/v1/occurrences?fields=eventDate,recordedByID", "parameter-wrong"),
        ("/api/v1/visits?min_uncertainty_m=much", "parameter-wrong"),
        ("/api/v1/visits?release=9", "parameter-wrong"),
        ("/api/v1/visits?habitats=lawn", "parameter-unknown"),
    ],
)
def test_what_is_no_query_is_refused_as_the_collection_refuses_it(
    reader: Actor, query: str, code: str
) -> None:
    answer = reader.post(SNAPSHOTS, {"query": query})

    assert answer.status_code == 400
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert answer.json()["type"].endswith(f"/problems/{code}")
    assert not Snapshot.objects.exists()


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(
    ("body", "status"),
    [({}, 422), ({"query": 1}, 422), ({"query": "/api/v1/visits", "name": "x"}, 422), ([], 422)],
)
def test_body_of_another_shape_is_refused(reader: Actor, body: Any, status: int) -> None:
    answer = reader.client.post(SNAPSHOTS, json.dumps(body), content_type="application/json")

    assert answer.status_code == status


@pytest.mark.django_db
def test_before_the_first_release_there_is_nothing_to_freeze(reader: Actor) -> None:
    assert reader.post(SNAPSHOTS, {"query": "/api/v1/visits"}).status_code == 404


@pytest.mark.usefixtures("small")
def test_freezing_and_checking_share_a_strict_limit(reader: Actor, settings: Any) -> None:
    settings.SNAPSHOTS_PER_HOUR = 2
    snapshot = froze(reader, "/api/v1/visits")
    assert reader.get(snapshot["links"]["check"]).status_code == 200

    answer = reader.post(SNAPSHOTS, {"query": "/api/v1/pits"})

    assert answer.status_code == 429
    assert int(answer.headers["Retry-After"]) > 60
    assert reader.get(snapshot["links"]["self"]).status_code == 200


@pytest.mark.usefixtures("small")
def test_query_that_takes_too_long_is_told_so(reader: Actor, settings: Any) -> None:
    snapshot = froze(reader, "/api/v1/visits")
    settings.SNAPSHOT_SECONDS = -1

    for answer in (
        reader.post(SNAPSHOTS, {"query": "/api/v1/pits"}),
        reader.get(snapshot["links"]["check"]),
    ):
        assert answer.status_code == 413
        assert "seconds" in answer.json()["detail"]


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("collection", ["visits", "pits", "counts", "occurrences"])
def test_rows_come_in_every_format_as_from_the_collection(reader: Actor, collection: str) -> None:
    snapshot = froze(reader, f"/api/v1/{collection}?habitat=lawn")
    links = snapshot["links"]
    query = f"/api/v1/{collection}?habitat=lawn&fields={','.join(snapshot['fields'])}"

    features = reader.get(links["geojson"]).json()
    table = bytes_of(reader.get(links["csv"]))
    parquet = pq.read_table(io.BytesIO(bytes_of(reader.get(links["parquet"]))))

    assert features["features"] == reader.get(f"{query}&f=geojson").json()["features"]
    assert table == bytes_of(reader.get(f"{query}&f=csv&limit=all"))
    assert parquet.equals(
        pq.read_table(io.BytesIO(bytes_of(reader.get(f"{query}&f=parquet&limit=all"))))
    )
    assert bytes_of(reader.get(f"{links['rows']}?f=csv&limit=2")).count(b"\r\n") == 3


@pytest.mark.usefixtures("small")
def test_pages_lead_back_and_forth(reader: Actor) -> None:
    snapshot = froze(reader, "/api/v1/counts")

    first = reader.get(f"{snapshot['links']['rows']}?limit=20").json()
    second = reader.get(first["links"]["next"]).json()
    back = reader.get(second["links"]["prev"]).json()

    assert (first["page"], second["page"]) == ({"returned": 20}, {"returned": 12})
    assert first["links"]["prev"] is second["links"]["next"] is None
    assert back["data"] == first["data"]


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(
    ("asked", "status"),
    [
        ("?habitat=lawn", 400),
        ("?release=1", 400),
        ("?limit=0", 400),
        ("?cursor=x", 400),
        ("?f=xml", 400),
        ("?limit=all", 400),
        ("?limit=all&f=csv&cursor=x", 400),
    ],
)
def test_rows_take_only_what_says_how_to_answer(reader: Actor, asked: str, status: int) -> None:
    snapshot = froze(reader, "/api/v1/counts")

    assert reader.get(snapshot["links"]["rows"] + asked).status_code == status


@pytest.mark.usefixtures("small")
def test_cursor_of_another_snapshot_is_refused(reader: Actor) -> None:
    one, other = froze(reader, "/api/v1/counts"), froze(reader, "/api/v1/pits")
    link = reader.get(f"{one['links']['rows']}?limit=2").json()["links"]["next"]

    answer = reader.get(link.replace(one["id"], other["id"]))

    assert answer.status_code == 400
    assert answer.json()["type"].endswith("/cursor-mismatch")


@pytest.mark.django_db
@pytest.mark.parametrize("part", ["", "/rows", "/check", "/citation"])
def test_unknown_snapshot_is_not_there(reader: Actor, part: str) -> None:
    answer = reader.get(f"{SNAPSHOTS}/nothing{part}")

    assert answer.status_code == 404
    assert answer.headers["Content-Type"] == "application/problem+json"


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("part", ["self", "rows", "ndjson", "check", "citation"])
def test_answer_is_not_sent_twice_and_is_cached_until_the_next_act(
    reader: Actor, part: str
) -> None:
    address = froze(reader, "/api/v1/visits")["links"][part]
    answer = reader.get(address, Accept="*/*")
    bytes_of(answer)
    held = {"If-None-Match": answer.headers["ETag"]}

    assert reader.get(address, **held).status_code == 304
    ChangeEntryFactory.create()
    assert reader.get(address, **held).status_code == 200
    stale = {"If-Match": '"other"'}
    assert reader.get(address, **stale).status_code == 412


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(
    ("form", "start"), [("bib", "@misc{"), ("ris", "TY  - DATA"), ("csl", "[")]
)
def test_citation_for_reference_managers(reader: Actor, form: str, start: str) -> None:
    snapshot = froze(reader, "/api/v1/visits")

    answer = reader.get(f"{snapshot['links']['citation']}?f={form}")

    assert answer.content.decode().startswith(start)
    assert snapshot["page"] in answer.content.decode()
    assert f"snapshot-{snapshot['id']}." in answer.headers["Content-Disposition"]


@pytest.mark.usefixtures("small")
def test_head_of_all_rows_reads_none(reader: Actor) -> None:
    snapshot = froze(reader, "/api/v1/visits")

    head = reader.client.head(snapshot["links"]["csv"].removeprefix(BASE))

    assert (head.status_code, head.content) == (200, b"")
    assert head.headers["Content-Disposition"].endswith(f'"snapshot-{snapshot["id"]}.csv"')


@pytest.fixture
def story(db: None) -> Story:  # noqa: ARG001 -- the database is needed
    """Return a reader, six homes in a release, and a snapshot of what lies in their lawns."""
    cache.clear()
    homes = village(village_group(named_publicly=True), range(7))
    release(1)
    reader = Actor()
    query = "/api/v1/counts?habitat=lawn&state=counted&sort=-number&fields=number,group"
    return reader, homes, froze(reader, query)


def test_later_releases_and_corrections_change_nothing(
    story: Story,
) -> None:
    reader, homes, snapshot = story
    before = ndjson(reader, snapshot)
    rows = bytes_of(reader.get(snapshot["links"]["csv"]))

    Visit.objects.filter(pk=homes[1].visit.pk).update(people_digging=4)
    homes[2].visit.pits.first().phases.first().counts.update(number=99)
    release(2)

    assert 99 in {row["number"] for row in reader.rows("/api/v1/counts?habitat=lawn")}
    assert ndjson(reader, snapshot) == before
    assert bytes_of(reader.get(snapshot["links"]["csv"])) == rows
    assert reader.get(snapshot["links"]["self"]).json()["data"]["state"]["verdict"] == "unchanged"
    check = reader.get(snapshot["links"]["check"]).json()["data"]
    assert check["equal"] is True
    assert check["then"] == check["now"] == {"rows": 21, "sha256": snapshot["sha256"]}


def test_withdrawal_is_told_to_the_row(story: Story) -> None:
    reader, homes, snapshot = story
    release(2)
    leaver = Visit.objects.get(pk=homes[3].visit.pk)
    gone = {
        str(one)
        for one in PublishedCount.objects.at(1)
        .filter(visit_id=leaver.public_id, habitat="lawn", state="counted")
        .values_list("id", flat=True)
    }
    before = ndjson(reader, snapshot)
    at = timezone.now() + timedelta(days=1)

    withdraw_visits(visits=[leaver], reason_class=ReasonClass.DOUBLE, at=at, by="test")

    kept = [line for line in before.splitlines(keepends=True) if json.loads(line)["id"] not in gone]
    data = reader.get(snapshot["links"]["self"]).json()["data"]
    state = data["state"]
    assert len(gone) == 3
    assert {row["id"] for row in state["withdrawn_rows"]} == gone
    assert {row["withdrawn_on"] for row in state["withdrawn_rows"]} == {at.date().isoformat()}
    assert {row["reason_class"] for row in state["withdrawn_rows"]} == {"double"}
    assert (state["withdrawn"], state["not_shown"], state["rows_now"]) == (3, 0, 18)
    assert (data["rows"], data["sha256"]) == (21, None), "from the checksum a row could be guessed"
    assert ndjson(reader, snapshot) == b"".join(kept)
    assert reader.get(snapshot["links"]["check"]).json()["data"] == {
        "equal": False,
        "then": {"rows": 21, "sha256": None},
        "now": {"rows": 18, "sha256": hashlib.sha256(b"".join(kept)).hexdigest()},
        "withdrawn": 3,
        "not_shown": 0,
    }


def test_withdrawn_rows_are_paged(story: Story) -> None:
    reader, homes, snapshot = story
    leaver = Visit.objects.get(pk=homes[3].visit.pk)
    withdraw_visits(visits=[leaver], reason_class=ReasonClass.DOUBLE, at=timezone.now(), by="test")

    first = reader.get(f"{snapshot['links']['self']}?limit=2").json()
    second = reader.get(first["links"]["next"]).json()

    found = [page["data"]["state"]["withdrawn_rows"] for page in (first, second)]
    assert [len(rows) for rows in found] == [2, 1]
    assert "next" not in second["links"]
    assert len({row["id"] for rows in found for row in rows}) == 3


def test_hidden_rows_are_not_named(story: Story) -> None:
    reader, homes, snapshot = story
    leavers = Visit.objects.filter(pk__in=[home.visit.pk for home in homes[:5]])
    ids = {row["id"] for row in map(json.loads, ndjson(reader, snapshot).splitlines())}

    withdraw_visits(visits=leavers, reason_class=ReasonClass.DOUBLE, at=timezone.now(), by="test")

    answer = reader.get(snapshot["links"]["self"])
    state = answer.json()["data"]["state"]
    named = {row["id"] for row in state["withdrawn_rows"]}
    assert (state["withdrawn"], state["not_shown"], state["rows_now"]) == (15, 6, 0)
    hidden = ids - named
    assert len(hidden) == 6
    assert not any(one in answer.content.decode() for one in hidden)
    assert not PublishedVisit.objects.at(1).exists()
    assert PublishedPit.objects.filter(hidden=True).exists()


@pytest.mark.slow
@pytest.mark.django_db
def test_many_rows_are_frozen_and_given_again_in_constant_memory(reader: Actor) -> None:
    ReleaseFactory.create(number=1)
    built = PublishedVisitFactory.build_batch(1000)
    for _ in range(20):
        for number, row in enumerate(built):
            row.row, row.id, row.people_digging = None, uuid4(), 1 + number % 5
        PublishedVisit.objects.bulk_create(built)
    froze(reader, "/api/v1/visits?max_people_digging=0")  # so that all code is loaded

    part = froze_and_read(reader, "/api/v1/visits?sort=-people_digging&max_people_digging=1")
    whole = froze_and_read(reader, "/api/v1/visits?sort=-people_digging")

    assert (part.rows, whole.rows) == (4_000, 20_000)
    assert whole.size_bytes == pytest.approx(5 * part.size_bytes, rel=0.01)
    assert whole.freezing_peak_bytes < 1.2 * part.freezing_peak_bytes
    assert whole.reading_peak_bytes < 1.2 * part.reading_peak_bytes
    held = b"".join(bytes(ids.ids) for ids in SnapshotIds.objects.filter(snapshot__rows=20_000))
    assert len({held[start : start + 16] for start in range(0, len(held), 16)}) == 20_000


@dataclass(frozen=True)
class Effort:
    """How large a snapshot is, and what it took to make and to read it."""

    rows: int
    size_bytes: int
    freezing_peak_bytes: int
    reading_peak_bytes: int


def froze_and_read(reader: Actor, query: str) -> Effort:
    """Freeze a query, read its rows, and compare the checksum."""
    digest = hashlib.sha256()
    tracemalloc.start()
    snapshot = froze(reader, query)
    _, freezing = tracemalloc.get_traced_memory()
    tracemalloc.reset_peak()
    for part in reader.get(snapshot["links"]["ndjson"]).streaming_content:
        digest.update(part)
    _, reading = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert digest.hexdigest() == snapshot["sha256"]
    return Effort(snapshot["rows"], snapshot["size_bytes"], freezing, reading)
