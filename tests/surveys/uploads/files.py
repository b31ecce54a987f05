"""Files as a group would send them, and a worker's hands."""

import csv
import io
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

from surveys.people.models import Group
from surveys.protocol.definition import Protocol, library
from surveys.uploads.cells import text_of
from surveys.uploads.columns import Layout
from surveys.uploads.leases import claim
from surveys.uploads.models import UploadJob
from surveys.uploads.operations import receive
from surveys.uploads.spreading import columns_for, rows_of
from surveys.uploads.store import incoming
from surveys.uploads.working import Hands, work
from tests.factories.private import NOW, Payload, put, visit_payload

LIMIT = 10_000_000


def protocol_named(name: str = "contrast-pit/2") -> Protocol:
    """Return a protocol of the library."""
    (protocol,) = [known for known in library() if known.name == name]
    return protocol


def visit_number(number: int) -> Payload:
    """Return a visit to a site of its own on a day of its own."""
    made = visit_payload(client_ref=f"QVD-U{number:05}")
    made = put(made, "/site/code", f"QVD-07-{number}")
    made = put(made, "/site/latitude", round(52.62123 + number % 300 / 1000, 5))
    return put(made, "/site/longitude", round(-0.88345 + number // 300 * 0.004, 5))


def table_of(
    visits: Sequence[Payload], layout: Layout = Layout.WIDE
) -> tuple[list[str], list[list[str]]]:
    """Return the header and the rows of visits under contrast-pit/2, as text."""
    columns = columns_for(protocol_named(), layout)
    rows = [
        [text_of(cell) for cell in row]
        for visit in visits
        for row in rows_of(visit, columns, layout)
    ]
    return [column.name for column in columns], rows


def csv_of(header: Sequence[str], rows: Sequence[Sequence[str]], separator: str = ",") -> bytes:
    """Return a table as CSV in UTF-8."""
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=separator).writerows([header, *rows])
    return text.getvalue().encode()


def received(group: Group, content: bytes, **how: Any) -> UploadJob:
    """Return the job of a file that a group sent."""
    key = uuid4()
    with incoming(key, LIMIT) as file:
        file.write(content)
    options: dict[str, Any] = {"answers": {}, "is_rehearsal": False, "at": NOW} | how
    return receive(group=group, token_name="laptop", key=key, file=file, **options)  # noqa: S106 -- its name


class Clock:
    """A clock that moves on by a second whenever it is looked at."""

    def __init__(self, at: datetime = NOW) -> None:
        self.at = at

    def __call__(self) -> datetime:
        """Return the next second."""
        self.at += timedelta(seconds=1)
        return self.at


def hands(clock: Clock | None = None) -> Hands:
    """Return hands that follow up on nothing."""
    return Hands(clock or Clock(), _follow_up_on_nothing)


def _follow_up_on_nothing(group: Group, since: datetime) -> None:
    del group, since


def worked(job: UploadJob, worker: str = "worker-1", clock: Clock | None = None) -> UploadJob:
    """Let a worker do the oldest job, and return this one as it then stands."""
    clock = clock or Clock()
    claimed = claim(worker=worker, at=clock())
    assert claimed is not None
    work(claimed, hands(clock))
    job.refresh_from_db()
    return job


def uploaded(group: Group, content: bytes, **how: Any) -> UploadJob:
    """Return the job of a file after a worker did it."""
    return worked(received(group, content, **how))
