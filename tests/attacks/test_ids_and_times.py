"""Attacks on what links records: ids, instants, shared values, a sensitive animal's visit.

Numbers 28, 29, 34 and 35 of the list.
"""

import io
import re
import zipfile
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from email.utils import parsedate_to_datetime
from itertools import pairwise
from typing import Any
from uuid import RFC_4122

from portal.publication.minting import random_id
from surveys.protocol.models import TaxonSensitivity
from surveys.visits.models import Count
from tests.attacks.conftest import Tell
from tests.attacks.repeats import visit_again
from tests.attacks.scene import (
    NOW,
    Answers,
    rows_of,
)
from tests.attacks.unpacking import texts_of
from tests.factories.private import NOW as RECEIVED_AT
from tests.factories.private import SiteFactory, VisitFactory
from tests.portal.publication.villages import (
    CELL,
    FIRST_AT,
    dig,
    fixed_mint,
    household,
    release,
    village,
    village_group,
)

SAMPLE = 4000
TABLES = ("visits", "pits", "counts")  # occurrences are counts under names of a standard
INSTANT = re.compile(rb"\d{4}-\d\d-\d\d[T ]\d\d:\d\d:\d\d")
HTTP_DATE = re.compile(rb"[A-Z][a-z]{2}, \d\d [A-Z][a-z]{2} \d{4} \d\d:\d\d:\d\d GMT")
RELEASED = ("2025-06-30T09:00:00", "2025-07-30T09:00:00")
# Beginnings and ends of days, as an interval needs them, and the clock of the answer itself.
WHOLE_DAYS = re.compile(r"\d{4}-\d\d-\d\dT(00:00:00|23:59:59)")
Rows = list[dict[str, Any]]


def test_ids_are_random_and_tell_neither_order_nor_time() -> None:
    """28: mint thousands of ids; version, entropy of each bit, correlation with the order.

    RFC 9562, section 5.4: a version 4 id has 122 random bits. A fair bit is set in half of the
    ids; five standard errors (a chance of 6e-7 a bit) are let pass, and of a correlation too.
    """
    ids = [random_id("visit QVD/V01") for _ in range(SAMPLE)]

    assert len(set(ids)) == SAMPLE
    assert {(one.version, one.variant) for one in ids} == {(4, RFC_4122)}
    spread = 5 * (SAMPLE * 0.25) ** 0.5
    fixed = {*range(76, 80), 62, 63}
    for bit in set(range(128)) - fixed:
        ones = sum(one.int >> bit & 1 for one in ids)
        assert abs(ones - SAMPLE / 2) < spread, bit
    rises = sum(first < second for first, second in pairwise(ids))
    assert abs(rises - SAMPLE / 2) < spread, "no more often up than down"


def instants_in(answers: Answers) -> Iterator[tuple[str, str]]:
    """Yield every instant that stands in an answer or a file, with its address."""
    for address, answer in answers.items():
        for text in texts_of(answer):
            for found in INSTANT.findall(text):
                yield address, found.decode().replace(" ", "T")
            for found in HTTP_DATE.findall(text):
                at = parsedate_to_datetime(found.decode())
                yield address, f"{at:%Y-%m-%dT%H:%M:%S}"


def test_no_instant_is_finer_than_a_release(all_answers: Answers) -> None:
    """29: look for the hour of a visit, a submission, a decision; in bodies, headers and files."""
    allowed = {*RELEASED, f"{NOW:%Y-%m-%dT%H:%M:%S}"}
    found = list(instants_in(all_answers))
    about_data = [one for one in found if not one[0].startswith(("/api/v1/openapi", "/docs"))]

    other = {one for one in about_data if one[1] not in allowed and not WHOLE_DAYS.match(one[1])}
    assert len(about_data) > 100
    assert other == set()


def test_day_of_receipt_stands_nowhere(all_answers: Answers) -> None:
    """29: the same for the day; visits came in two days after they were made."""
    day = f"{RECEIVED_AT:%Y-%m-%d}".encode()
    found = {one for one, answer in all_answers.items() for text in texts_of(answer) if day in text}

    assert {one for one in found if "openapi" not in one} == set()


def test_entries_of_archives_bear_the_day_of_the_release(all_answers: Answers) -> None:
    """29: read times and extra fields of zip entries (APPNOTE 4.4.6 and 4.5); a day, no hour."""
    archives = {one: answer for one, answer in all_answers.items() if one.endswith(".zip")}
    for address, answer in archives.items():
        if answer.status != 200:
            continue
        with zipfile.ZipFile(io.BytesIO(answer.body)) as files:
            entries = files.infolist()
        number = int(address.split("/")[2])
        times = {f"{datetime(*entry.date_time):%Y-%m-%d}" for entry in entries}  # noqa: DTZ001 -- zip has no zone
        assert times == {RELEASED[number - 1][:10]}
        assert {entry.date_time[3:] for entry in entries} == {(0, 0, 0)}
        assert {(entry.extra, entry.comment) for entry in entries} == {(b"", b"")}


def test_school_is_known_by_month(all_answers: Answers) -> None:
    """29: find the day on which a class dug; pits of schools have a month."""
    rows = all_answers["/api/v1/visits?limit=1000"].body

    assert rows.count(b'"sampled_on":"2025-04"') == 1


def in_two_cells() -> None:
    """Seven households in one cell, six in another; number 3 has a plot in both."""
    group = village_group()
    homes = village(group, range(7))
    other = {"latitude": Decimal("52.8512345")}
    for number in range(10, 16):
        household(group, number, site=other)
    plot = SiteFactory.create(owner=homes[3].participant, code="plot", **other)
    visit = VisitFactory.create(
        participant=homes[3].participant,
        site=plot,
        client_ref="plot-1",
        state="accepted",
        people_digging=2,
    )
    dig(visit, 1, "lawn", animals=12)
    dig(visit, 2, "flower bed", animals=13)
    release(1, mint=fixed_mint)


def test_two_plots_of_a_household_have_no_value_in_common_that_others_lack(tell_rows: Tell) -> None:
    """35: join rows of two cells by any value, to find the plots of one household.

    Success by chance: 1 in 49 pairs. Here each value of one site's rows that only one site of the
    other cell shares is a link; the pair must not be linked.
    """
    rows: Rows = tell_rows(in_two_cells, lambda: [row for name in TABLES for row in rows_of(name)])

    holders: dict[tuple[str, str], set[tuple[str, str]]] = defaultdict(set)
    for row in rows:
        for name, value in row.items():
            if name not in {"cell", "site_id"}:
                holders[name, repr(value)].add((row["cell"], row["site_id"]))
    pairs = {
        value: sites
        for value, sites in holders.items()
        if len(sites) == 2 and len({cell for cell, _ in sites}) == 2
    }
    assert len({row["cell"] for row in rows}) == 2
    # Numbers of animals are public and are met by chance; anything else would be a pseudonym.
    assert {name for name, _ in pairs} <= {"found", "number", "number_recorded"}


@dataclass(frozen=True)
class Sensitive:
    """Visits of a village with a sensitive find, and which of them are of the site of the find."""

    cells: dict[str, set[str]]
    of_the_find: str


def test_sensitive_find_takes_all_rows_of_the_site_to_the_coarser_place(tell_rows: Tell) -> None:
    """34: join a sensitive taxon, shown coarsely, to another visit of the site, shown finely."""

    def story() -> None:
        group = village_group()
        homes = village(group, range(6))
        for number in range(10, 15):
            household(group, number, site={"place_detail": "coarse"})
        found_at = visit_again(homes[3], 1)
        line = Count.objects.filter(phase__pit__visit=found_at, number__gt=0)[0]
        Count.objects.filter(pk=line.pk).update(taxon="Lumbricus badensis")
        TaxonSensitivity.objects.create(
            scientific_name="Lumbricus badensis",
            category=2,
            author="S1",
            reason="rare",
            made_at=FIRST_AT,
        )
        release(1, mint=fixed_mint)

    def ask() -> Sensitive:
        cells: dict[str, set[str]] = defaultdict(set)
        for name in TABLES:
            for row in rows_of(name):
                cells[row["site_id"]].add(row["cell"])
        (site,) = {row["site_id"] for row in rows_of("counts", "&taxon=Lumbricus badensis")}
        return Sensitive(dict(cells), site)

    found: Sensitive = tell_rows(story, ask)

    # Category 2 of Chapman 2020 (doi 10.15468/doc-5jp4-5g10), Table 7: 0.1 degree.
    assert found.cells[found.of_the_find] == {"0.1|52.8|-0.8"}
    assert list(found.cells.values()).count({CELL}) == 5
