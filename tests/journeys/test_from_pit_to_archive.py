"""A batch goes in by API and comes out as a released dataset; one participant leaves."""

import zipfile
from typing import Any

import pytest
from dwca.read import DwCAReader

from tests.journeys.actors import Actor, garden_visit, office

HOUSEHOLDS = range(1, 8)
SUBMISSIONS = "/api/v1/partner/submissions"


@pytest.mark.slow
@pytest.mark.django_db
def test_record_travels_from_pit_to_archive_and_leaves_on_withdrawal(tmp_path: Any) -> None:
    _, group, reviewer, steward = office()
    researcher = Actor()

    _register(group)
    batch = _batch_with_two_faults()
    _send_and_mend(group, batch)
    _ask_one_back(group, reviewer)
    _accept_the_rest(group, reviewer)
    release = _release(steward)
    _page_through_habitat(researcher)
    archive = _open_archive(researcher, release, tmp_path)
    gone = _withdraw(group)

    _is_gone_everywhere(researcher, gone, archive, tmp_path)


def _register(group: Actor) -> None:
    for number in HOUSEHOLDS:
        answer = group.put(
            f"/api/v1/partner/participants/QVD-{number:02}",
            {
                "household": f"house-{number}",
                "consents": [
                    {
                        "purpose": "publish",
                        "decision": "given",
                        "given_by": "self",
                        "statement_version": "1",
                    }
                ],
            },
        )
        assert answer.status_code == 200, answer.json()


def _batch_with_two_faults() -> dict[str, Any]:
    visits = [garden_visit(number) for number in HOUSEHOLDS]
    visits[0]["pits"][1]["phases"][0]["counts"][0]["number"] = -1
    visits[1]["site"]["latitude"] = "52,8831"
    return {"visits": visits}


def _send_and_mend(group: Actor, batch: dict[str, Any]) -> None:
    rehearsal = group.post(f"{SUBMISSIONS}?dry_run=true", batch)
    assert rehearsal.json()["stored"] is False
    assert group.get(SUBMISSIONS).json()["data"] == []

    answer = group.post(SUBMISSIONS, batch, **{"Idempotency-Key": "spring-1"})
    summary = answer.json()["summary"]
    assert (answer.status_code, summary["stored"], summary["rejected"]) == (200, 5, 2)
    errors = [fault for fault in answer.json()["errors"] if fault["severity"] == "error"]
    assert [(fault["pointer"], fault["code"], fault["received"]) for fault in errors] == [
        ("/visits/0/pits/1/phases/0/counts/0/number", "count-out-of-range", -1),
        ("/visits/1/site/latitude", "number-decimal-comma", "52,8831"),
    ]
    assert all(fault["hint"] and fault["allowed"] is not None for fault in errors[:1])
    again = group.post(SUBMISSIONS, batch, **{"Idempotency-Key": "spring-1"})
    assert again.headers["Idempotent-Replayed"] == "true"
    assert again.json() == answer.json()

    mended = {"visits": [garden_visit(1), garden_visit(2)]}
    assert group.post(SUBMISSIONS, mended).json()["summary"]["stored"] == 2
    unchanged = group.post(SUBMISSIONS, mended).json()
    assert [item["outcome"] for item in unchanged["items"]] == ["unchanged", "unchanged"]


def _decide(reviewer: Actor, visit: dict[str, Any], **decision: Any) -> Any:
    address = f"/api/v1/review/visits/QVD/{visit['client_ref']}/decision"
    return reviewer.post(address, decision, **{"If-Match": visit["etag"]})


def _ask_one_back(group: Actor, reviewer: Actor) -> None:
    waiting = reviewer.get("/api/v1/review/waiting").json()["data"]
    assert {visit["client_ref"] for visit in waiting} == {f"QVD-S{n:02}" for n in HOUSEHOLDS}
    (third,) = (visit for visit in waiting if visit["client_ref"] == "QVD-S03")
    asked = _decide(reviewer, third, decision="asked_back", reason_code="check-number")
    assert asked.status_code == 200, asked.json()

    seen = group.get("/api/v1/partner/visits/QVD-S03")
    assert seen.json()["state"] == "asked_back"
    assert "does not add up" in seen.json()["reviews"][0]["reason"]
    corrected = garden_visit(3)
    corrected["pits"][0]["phases"][0]["counts"][1]["number"] = 9
    address = "/api/v1/partner/visits/QVD-S03"
    assert group.put(address, corrected).status_code == 428
    stored = group.put(address, corrected, **{"If-Match": seen.headers["ETag"]})
    assert (stored.status_code, stored.json()["revision"]) == (200, 2)
    assert group.put(address, corrected, **{"If-Match": seen.headers["ETag"]}).status_code == 412
    late = _decide(reviewer, third, decision="accepted")
    assert late.status_code == 412
    assert [one["what"] for one in late.json()["happened"]] == ["reviewed", "corrected"]


def _accept_the_rest(group: Actor, reviewer: Actor) -> None:
    for visit in reviewer.get("/api/v1/review/waiting").json()["data"]:
        answer = _decide(reviewer, visit, decision="accepted")
        assert answer.status_code == 200, answer.json()
    states = {visit["state"] for visit in group.get("/api/v1/partner/visits").json()["data"]}
    assert states == {"accepted"}


def _release(steward: Actor) -> dict[str, Any]:
    made = steward.post("/api/v1/review/releases")
    assert made.status_code == 201, made.json()
    release: dict[str, Any] = steward.get(made.headers["Location"]).json()
    assert release["rows"] == {"visits": 7, "pits": 14, "counts": 112}
    return release


def _page_through_habitat(researcher: Actor) -> None:
    pages = list(researcher.pages("/api/v1/pits?habitat=lawn&limit=2"))
    assert [page["page"]["returned"] for page in pages] == [2, 2, 2, 1]
    rows = [row for page in pages for row in page["data"]]
    assert len({row["id"] for row in rows}) == pages[0]["page"]["matched"] == 7
    assert {row["habitat"] for row in rows} == {"lawn"}
    assert {row["cell_level"] for row in rows} == {4}
    assert "QVD-0" not in str(rows)


def _counts_in(archive: Any, path: Any) -> dict[str, int]:
    path.write_bytes(archive.getvalue())
    with zipfile.ZipFile(path) as files:
        names = sorted(files.namelist())
    assert names == [
        "eml.xml",
        "event.txt",
        "extendedmeasurementorfact.txt",
        "humboldt.txt",
        "meta.xml",
        "occurrence.txt",
    ]
    with DwCAReader(str(path)) as reader:
        events = list(reader.rows)
        occurrences = [
            row.data["http://rs.tdwg.org/dwc/terms/individualCount"]
            for event in events
            for row in event.extensions
            if row.rowtype == "http://rs.tdwg.org/dwc/terms/Occurrence"
        ]
        zeros = [  # of lines beside which animals were found: numbers, no absences
            row
            for event in events
            for row in event.extensions
            if row.data.get("http://rs.tdwg.org/dwc/terms/measurementType", "").startswith(
                "number of animals: "
            )
        ]
        kinds = [event.data["http://rs.tdwg.org/dwc/terms/eventType"] for event in events]
    return {
        "visits": kinds.count("siteVisit"),
        "pits": kinds.count("soilPit"),
        "counts": len(occurrences) + len(zeros),
        "animals": sum(int(count) for count in occurrences),
    }


def _published(researcher: Actor) -> dict[str, int]:
    counted = researcher.rows("/api/v1/counts?state=counted&limit=50")
    return {
        "visits": len(researcher.rows("/api/v1/visits")),
        "pits": len(researcher.rows("/api/v1/pits")),
        "counts": len(counted),
        "animals": sum(row["number"] for row in counted),
    }


def _open_archive(researcher: Actor, release: dict[str, Any], folder: Any) -> str:
    file = release["files"][0]
    found = _counts_in(researcher.download(file["href"]), folder / "first.zip")
    assert found == _published(researcher)
    return str(file["href"])


def _withdraw(group: Actor) -> dict[str, Any]:
    record = group.get("/api/v1/partner/visits/QVD-S05").json()
    answer = group.post(
        "/api/v1/partner/participants/QVD-05/withdrawal", {"reason_class": "consent_withdrawn"}
    )
    assert answer.json()["public_records_withdrawn"] == 1 + 2 + 16
    return {"id": record["public_id"]}


def _is_gone_everywhere(researcher: Actor, gone: dict[str, Any], archive: str, folder: Any) -> None:
    for address in (f"/api/v1/visits/{gone['id']}", f"/id/visit/{gone['id']}"):
        tombstone = researcher.get(address)
        assert tombstone.status_code == 410
        assert tombstone.json()["reason_class"] == "consent_withdrawn"
        assert gone["id"] == tombstone.json()["id"]
    assert gone["id"] not in {row["id"] for row in researcher.rows("/api/v1/visits")}
    summary = researcher.get("/api/v1/summary?by=habitat").json()["data"]
    assert {row["habitat"]: row["n_pits"] for row in summary}["lawn"] == 6
    assert researcher.get(archive).status_code == 410

    release = researcher.get("/api/v1/releases/1").json()
    standing = [file for file in release["files"] if file["available"]]
    found = _counts_in(researcher.download(standing[0]["href"]), folder / "second.zip")
    assert found == _published(researcher)
    assert found["visits"] == release["rows"]["visits"] == 6
    withdrawn = researcher.get("/api/v1/releases/1/changes").json()["withdrawn"]
    assert gone["id"] in {stone["id"] for stone in withdrawn}
