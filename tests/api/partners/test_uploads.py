"""Files of many visits by HTTP: sent, asked about, mended, cancelled."""

import csv
import io
import json
import zipfile
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart

from portal.management.commands.runjobs import do_next
from surveys.people.models import ConsentPurpose
from surveys.photos.models import Photo
from surveys.uploads.models import UploadJob
from surveys.uploads.templates import XLSX
from surveys.visits.models import Visit
from tests.api.holders import holder_of
from tests.api.partners.conftest import Partner
from tests.factories.private import ConsentFactory, UploadFaultFactory, put
from tests.surveys.photos.pictures import encoded
from tests.surveys.uploads.files import csv_of, table_of, visit_number

UPLOADS = "/api/v1/partner/uploads"
VISITS = [visit_number(1), visit_number(2)]
FAULTY = put(VISITS[1], "/pits/0/habitat", "=lawn")


def sent(diggers: Partner, content: bytes, options: str = "", kind: str = "text/csv") -> Any:
    """Send a raw body."""
    caller = diggers.caller
    return caller.client.generic(
        "POST", f"{UPLOADS}{options}", content, kind, headers=caller.headers
    )


def done(diggers: Partner, content: bytes, options: str = "", kind: str = "text/csv") -> Any:
    """Send a file, let a worker do it, and return the job as it then answers."""
    answer = sent(diggers, content, options, kind)
    assert answer.status_code == 202, answer.json()
    assert do_next("worker")
    return diggers.caller.get(answer.headers["Location"]).json()


def test_file_is_taken_and_its_job_named(diggers: Partner) -> None:
    answer = sent(diggers, csv_of(*table_of(VISITS)))

    job = answer.json()
    assert answer.status_code == 202
    assert answer.headers["Location"] == f"http://localhost:8000/api/v1/partner/jobs/{job['id']}"
    assert (job["state"], job["progress"]["percent"]) == ("queued", None)
    assert len(job["file"]["sha256"]) == 64
    assert diggers.caller.get(UPLOADS).json()["data"][0]["id"] == job["id"]


def test_worker_does_it_and_the_job_tells_progress_and_reading(diggers: Partner) -> None:
    sent(diggers, csv_of(*table_of(VISITS), separator=";"))

    call_command("runjobs", "--once")

    (job,) = diggers.caller.get(UPLOADS).json()["data"]
    assert job["state"] == "done"
    assert job["progress"] == {
        "phase": "finished", "done": 5, "total": 5, "unit": "rows", "percent": 100,
    }  # fmt: skip
    assert job["summary"] == {"received": 2, "stored": 2}
    assert job["reading"]["separator"] == "semicolon"
    assert job["reading"]["because"]["decimal"].startswith("row 2, column site.latitude: ")
    assert Visit.objects.count() == 2


def test_form_is_taken_like_a_raw_body(diggers: Partner) -> None:
    file = SimpleUploadedFile("table.csv", csv_of(*table_of(VISITS)))
    form = encode_multipart(BOUNDARY, {"file": file})

    job = done(diggers, form, kind=MULTIPART_CONTENT)

    assert (job["file"]["kind"], job["summary"]["stored"]) == ("csv", 2)


@pytest.mark.parametrize(
    "parts",
    [{"other": SimpleUploadedFile("a.csv", b"x")}, {"dry_run": "true"}, {}],
)
def test_form_of_other_parts_is_refused_and_leaves_nothing(
    diggers: Partner, parts: dict[str, Any], settings: Any
) -> None:
    answer = sent(diggers, encode_multipart(BOUNDARY, parts), kind=MULTIPART_CONTENT)

    assert (answer.status_code, answer.json()["parameter"]) == (400, "file")
    assert not UploadJob.objects.exists()
    assert not [path for path in settings.PRIVATE_FILES_DIR.rglob("*") if path.is_file()]


def test_file_over_the_limit_is_refused_and_leaves_nothing(diggers: Partner, settings: Any) -> None:
    settings.UPLOAD_MAX_BYTES = 1000
    content = csv_of(*table_of(VISITS))
    form = encode_multipart(BOUNDARY, {"file": SimpleUploadedFile("a.csv", content)})

    raw, by_form = sent(diggers, content), sent(diggers, form, kind=MULTIPART_CONTENT)

    for answer in (raw, by_form):
        assert (answer.status_code, answer.json()["max_bytes"]) == (413, 1000)
    assert not [path for path in settings.PRIVATE_FILES_DIR.rglob("*") if path.is_file()]


@pytest.mark.parametrize(
    ("options", "kind", "body", "status"),
    [
        ("", "text/csv", b"", 400),
        ("?colour=red", "text/csv", b"x", 400),
        ("?dates=guess", "text/csv", b"x", 400),
        ("", "application/pdf", b"x", 415),
        ("", "application/json", b"{}", 415),
    ],
)
def test_what_is_not_understood_is_refused(
    diggers: Partner, options: str, kind: str, body: bytes, status: int
) -> None:
    assert sent(diggers, body, options, kind).status_code == status


def test_token_without_the_scope_may_look_but_not_send(diggers: Partner) -> None:
    reader = Partner(diggers.group, holder_of(diggers.group, "read"))

    assert sent(reader, b"x").status_code == 403
    assert reader.caller.get(UPLOADS).status_code == 200


def test_group_has_a_limited_number_of_open_jobs(diggers: Partner) -> None:
    answers = [sent(diggers, b"x").status_code for _ in range(11)]

    assert answers == [202] * 10 + [409]


def test_ambiguous_file_asks_and_is_confirmed(diggers: Partner) -> None:
    visits = [visit | {"visited_on": "03/04/2025"} for visit in VISITS]
    job = done(diggers, csv_of(*table_of(visits)), "?dry_run=true")
    confirmation = job["links"]["confirmation"]

    unsaid = diggers.caller.post(confirmation)
    said = diggers.caller.post(confirmation, {"dates": "day-month-year"})
    do_next("worker")
    rehearsed = diggers.caller.get(job["links"]["self"]).json()
    stored = diggers.caller.post(confirmation, {"store": True})
    do_next("worker")

    assert job["state"] == "asking"
    assert job["questions"][0]["examples"][0]["received"] == "03/04/2025"
    assert (unsaid.status_code, unsaid.json()["detail"]) == (409, "Not answered: dates.")
    assert (said.status_code, stored.status_code) == (202, 202)
    assert (rehearsed["dry_run"], rehearsed["summary"]["stored"]) == (True, 2)
    assert diggers.caller.get(job["links"]["self"]).json()["dry_run"] is False
    assert set(Visit.objects.values_list("visited_on__day", flat=True)) == {3}


def test_errors_are_a_table_as_json_and_as_csv(diggers: Partner) -> None:
    job = done(diggers, csv_of(*table_of([VISITS[0], FAULTY])))

    page = diggers.caller.get(job["links"]["errors"]).json()
    german = diggers.caller.get(job["links"]["errors"], **{"Accept-Language": "de"}).json()
    table = b"".join(diggers.caller.get(page["links"]["csv"]).streaming_content)

    (fault,) = page["data"]
    assert (fault["row"], fault["column"], fault["record"]) == (4, "pit.habitat", "QVD-U00002")
    assert (fault["code"], fault["received"]) == ("word-unknown", "=lawn")
    assert "lawn" in fault["allowed"].split(", ")
    assert fault["hint"] == "Use one of the allowed words."
    assert german["data"][0]["hint"] == "Nehmen Sie eines der erlaubten Wörter."
    assert diggers.caller.get(fault["docs"]).status_code == 200
    assert page["page"] == {"returned": 1, "matched": 1}
    header, line = csv.reader(io.StringIO(table.decode("utf-8-sig")))
    row = dict(zip(header, line, strict=True))
    assert (row["row"], row["received"]) == ("4", "'=lawn")  # no formula


def test_pages_of_errors_follow_each_other(diggers: Partner) -> None:
    job = sent(diggers, b"x").json()
    UploadFaultFactory.create_batch(205, job=UploadJob.objects.get())

    pages = list(diggers.caller.pages(job["links"]["errors"]))

    assert [len(page["data"]) for page in pages] == [200, 5]
    assert diggers.caller.get(f"{job['links']['errors']}?after=x").status_code == 400


def mended(sheet: bytes) -> bytes:
    """Return a sheet in which the wrong word is corrected, and nothing else."""
    return sheet.replace(b"'=lawn", b"lawn")


def test_sheet_with_errors_is_mended_in_place_and_sent_again(diggers: Partner) -> None:
    job = done(diggers, csv_of(*table_of([VISITS[0], FAULTY]), separator=";"))

    sheet = b"".join(diggers.caller.get(job["links"]["sheet"]).streaming_content)
    again = done(diggers, mended(sheet))

    rows = list(csv.DictReader(io.StringIO(sheet.decode("utf-8-sig")), delimiter=";"))
    assert [bool(row["errors"]) for row in rows] == [False, False, True, False]
    assert rows[2]["errors"].startswith("pit.habitat: ")
    assert rows[2]["errors"].endswith("Use one of the allowed words.")
    assert again["summary"] == {"received": 2, "unchanged": 1, "stored": 1}
    assert Visit.objects.count() == 2


@pytest.mark.parametrize("name", ["sample-wide.xlsx", "sample-long.xlsx"])
def test_workbook_is_sent_back_as_a_workbook(diggers: Partner, name: str) -> None:
    sample = diggers.caller.get(f"/api/v1/partner/templates/contrast-pit/2/{name}").content
    job = done(diggers, sample, "?dry_run=true", XLSX)

    answer = diggers.caller.get(job["links"]["sheet"])
    again = done(diggers, b"".join(answer.streaming_content), "", XLSX)

    assert answer.headers["Content-Type"] == XLSX
    assert (job["summary"], again["summary"]) == ({"received": 2, "stored": 2},) * 2


def test_lines_of_json_have_no_sheet(diggers: Partner) -> None:
    lines = b"\n".join(json.dumps(visit).encode() for visit in [VISITS[0], FAULTY])

    job = done(diggers, lines, kind="application/x-ndjson")

    (fault,) = diggers.caller.get(job["links"]["errors"]).json()["data"]
    assert (job["file"]["kind"], fault["row"], fault["column"]) == ("ndjson", 2, "/pits/0/habitat")
    assert diggers.caller.get(job["links"]["sheet"]).status_code == 409


def test_waiting_job_is_cancelled_at_once_and_only_once(diggers: Partner) -> None:
    job = sent(diggers, csv_of(*table_of(VISITS))).json()

    first = diggers.caller.delete(job["links"]["self"])
    second = diggers.caller.delete(job["links"]["self"])

    assert (first.status_code, first.json()["state"]) == (200, "cancelled")
    assert second.status_code == 409
    assert do_next("worker") is False
    assert not Visit.objects.exists()


def zipped(entries: dict[str, bytes]) -> bytes:
    """Return a zip of these entries."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as parts:
        for name, content in entries.items():
            parts.writestr(name, content)
    return packed.getvalue()


def test_zip_brings_photos_for_the_pits_that_name_them(diggers: Partner) -> None:
    ConsentFactory.create(
        participant=diggers.group.participants.get(), purpose=ConsentPurpose.PHOTOS
    )
    header, rows = table_of([VISITS[0], FAULTY])
    for row, name in enumerate(["first.png|gone.png", "../../broken.png", "waits.png"]):
        rows[row][header.index("photos.pit")] = name
    content = zipped(
        {
            "survey/table.csv": csv_of(header, rows),
            "survey/first.png": encoded(kind="PNG"),
            "../../broken.png": b"no picture",
        }
    )

    job = done(diggers, content, kind="application/zip")

    errors = diggers.caller.get(job["links"]["errors"]).json()["data"]
    assert job["summary"] == {
        "received": 2, "stored": 1, "rejected": 1,
        "photos": 1, "photos_rejected": 2, "photos_waiting": 1,
    }  # fmt: skip
    assert [(e["row"], e["column"], e["code"], e["received"]) for e in errors] == [
        (4, "pit.habitat", "word-unknown", "=lawn"),
        (2, "photos.pit", "photo-missing", "gone.png"),
        (3, "photos.pit", "photo-not-taken", "../../broken.png"),
    ]
    assert [photo.pit.number for photo in Photo.objects.all()] == [1]


@pytest.mark.parametrize(
    ("entries", "code"),
    [
        ({"a.csv": b"x", "b.csv": b"y"}, "table-not-clear"),
        ({"photo.png": b"x"}, "table-not-clear"),
    ],
)
def test_zip_holds_exactly_one_table(
    diggers: Partner, entries: dict[str, bytes], code: str
) -> None:
    job = done(diggers, zipped(entries), kind="application/zip")

    (fault,) = diggers.caller.get(job["links"]["errors"]).json()["data"]
    assert (job["state"], fault["code"], fault["row"]) == ("failed", code, None)


def test_table_in_a_zip_that_grows_too_large_is_refused(diggers: Partner, settings: Any) -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as parts:
        parts.writestr("table.csv", b"," * 1_000_000)
    settings.UPLOAD_MAX_BYTES = 100_000

    job = done(diggers, packed.getvalue(), kind="application/zip")

    (fault,) = diggers.caller.get(job["links"]["errors"]).json()["data"]
    assert (job["state"], fault["code"]) == ("failed", "file-too-large-unpacked")
