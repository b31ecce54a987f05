"""A large release made inside PostgreSQL, straight into the published tables; for benchmarks only.

Every value follows from the row's number by a hash, so that two runs hold the same rows. A visit
has two pits of eight lines. Places are cells of 0.01 degree in 400 clusters over 40 x 40 degrees,
dates ten years; habitats include a rare one (1 pit in 10,000), and a taxon that comes only in the
last tenth of the days.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import connection

from portal.records.fields import field_names
from portal.records.models import PublishedCount, PublishedPit, PublishedVisit
from tests.factories.published import ReleaseFactory, protocol_dicts

LINES_OF_A_PIT = 8
PITS_OF_A_VISIT = 2
HABITATS = ("lawn", "flower bed", "hedge", "rough grass", "old pasture", "vegetable plot")
RARE_HABITAT = "compost heap"
LATE_TAXON = "Lumbricus terrestris"
TABLES: tuple[Any, ...] = (PublishedVisit, PublishedPit, PublishedCount)

# A whole number from 0 to 2^31 - 1 out of a row's number and a word.
_HASH = """
CREATE OR REPLACE FUNCTION pg_temp.draw(n bigint, word text) RETURNS bigint LANGUAGE sql IMMUTABLE
AS $$ SELECT hashint8extended(n, hashtext(word))::bigint & 2147483647 $$
"""

# OFFSET 0 keeps the planner from merging the levels, which would draw each number many times.
_VISIT = """
    SELECT v, md5('visit' || v)::uuid AS visit_id,
        md5('site' || pg_temp.draw(v, 'site') % ({visits} / 3 + 1))::uuid AS site_id,
        date '2015-01-01' + (pg_temp.draw(v, 'day') % 3650)::int AS day,
        -10 + (pg_temp.draw(v, 'town') % 20) * 2 + (pg_temp.draw(v, 'x') % 60) * 0.01 AS west,
        20 + (pg_temp.draw(v, 'town') / 20 % 20) * 2 + (pg_temp.draw(v, 'y') % 60) * 0.01 AS south
    FROM generate_series({first}::bigint, {last}::bigint) AS v OFFSET 0
"""

_OF_VISIT: dict[str, str] = {
    "since_release": "1",
    "hidden": "false",
    "modified_at": "timestamptz '2025-06-30 09:00:00Z'",
    "visit_id": "visit_id",
    "site_id": "site_id",
    "group_code": "(ARRAY['QVD', 'OPL', 'BSC', 'VFR'])[1 + pg_temp.draw(v, 'group') % 4]",
    "sampled_on": "to_char(day, 'YYYY-MM-DD')",
    "sampled_first_on": "day",
    "sampled_last_on": "day",
    "date_precision": "'day'",
    "season": "(ARRAY['winter', 'spring', 'summer', 'autumn'])"
    "[1 + extract(month FROM day)::int % 12 / 3]",
    "protocol": "(ARRAY['contrast-pit/1', 'contrast-pit/2', 'species-pit/1', 'school-pit/1'])"
    "[1 + pg_temp.draw(v, 'kit') % 4]",
    "paired": "true",
    "people_digging": "1 + pg_temp.draw(v, 'people') % 4",
    "recorded_by": "NULL::text",
    "recorded_by_id": "NULL::text",
    "country_code": "'GB'",
    "latitude": "round(south + 0.005, 3)::float8",
    "longitude": "round(west + 0.005, 3)::float8",
    "cell": "'0.01|' || round(south, 2) || '|' || round(west, 2)",
    "cell_level": "4",
    "uncertainty_m": "757",
    "precision_deg": "0.01",
    "footprint_wkt": "format('POLYGON ((%1$s %2$s, %3$s %2$s, %3$s %4$s, %1$s %4$s, "
    "%1$s %2$s))', round(west, 2), round(south, 2), round(west + 0.01, 2), "
    "round(south + 0.01, 2))",
    "georeference_protocol": "'Centre and outline of the published grid cell.'",
    "data_generalizations": "'Shown as a cell of 0.01 degrees.'",
    "information_withheld": "'Recorder and exact place are withheld.'",
    "verification": "'plausibility checked'",
    "remarks": "''",
}
_HABITAT = (
    f"CASE WHEN pg_temp.draw(p, 'rare') % 10000 = 0 THEN '{RARE_HABITAT}' ELSE "
    f"(ARRAY{list(HABITATS)!r})[1 + pg_temp.draw(p, 'habitat') % {len(HABITATS)}] END"
)
_OF_PIT: dict[str, str] = {
    "pit_id": "pit_id",
    "habitat": _HABITAT,
    "management": "'[\"mown\"]'::jsonb",
    "management_text": "'|mown|'",
    "management_state": "'listed'",
    "width_cm": "20",
    "length_cm": "20",
    "depth_cm": "20",
    "area_m2": "0.04",
    "sorting_minutes": "10 + pg_temp.draw(p, 'minutes') % 20",
    "sorted_to_end": "true",
    "hand_sort": "'done'",
    "expellant": "CASE WHEN pg_temp.draw(p, 'poured') % 10 = 0 THEN 'not_done' ELSE 'done' END",
    "expellant_agent": "'mustard water'",
    "expellant_ml": "500",
    "expellant_wait_min": "5",
    "effort_known": "true",
    "moisture": "(ARRAY['dry', 'moist', 'wet'])[1 + pg_temp.draw(p, 'moisture') % 3]",
    "fizz": "'none'",
    "fizz_acid": "'vinegar'",
    "texture": "(ARRAY['clay', 'loam', 'sand'])[1 + pg_temp.draw(p, 'texture') % 3]",
    "texture_key": "'three-class texture by feel'",
    "colour": "'10YR 4/3'",
    "colour_state": "'moist'",
}
_COUNT: dict[str, str] = {
    "id": "md5('count' || c)::uuid",
    "method": "(ARRAY['hand_sort', 'expellant'])[1 + line / 4]",
    "phase_id": "md5('phase' || p || '/' || line / 4)::uuid",
    "group": "(ARRAY['epigeic', 'endogeic', 'anecic', 'unassigned'])[1 + line % 4]",
    "stage": "CASE WHEN line % 4 = 3 THEN 'juvenile' ELSE 'adult' END",
    "taxon": "CASE WHEN line % 4 = 2 AND day >= date '2024-01-01' AND pg_temp.draw(c, 'late') % 50 "
    f"= 0 THEN '{LATE_TAXON}' END",
    "coarse_taxon": "'Lumbricidae'",
    "state": "'counted'",
    "number": "n",
    "number_recorded": "n",
    "occurrence_status": "CASE WHEN n > 0 THEN 'present' ELSE 'absent' END",
}


@dataclass(frozen=True)
class Made:
    """How many rows a release holds."""

    visits: int
    pits: int
    counts: int


def fill(counts: int, *, visits_at_once: int = 50_000) -> Made:
    """Write release 1 with about so many counts into empty published tables, then index them."""
    visits = counts // (LINES_OF_A_PIT * PITS_OF_A_VISIT)
    ReleaseFactory.create(number=1, protocols=protocol_dicts())
    _take_indexes_off()
    with connection.cursor() as cursor:
        cursor.execute("SET jit = off")
        cursor.execute(_HASH)
        for first in range(0, visits, visits_at_once):
            last = min(first + visits_at_once, visits) - 1
            source = _VISIT.format(visits=visits, first=first, last=last)
            for statement in _statements(source):
                cursor.execute(statement)
    _put_indexes_on()
    with connection.cursor() as cursor:
        cursor.execute("VACUUM ANALYZE " + ", ".join(table._meta.db_table for table in TABLES))
    return Made(visits, visits * PITS_OF_A_VISIT, visits * PITS_OF_A_VISIT * LINES_OF_A_PIT)


def _take_indexes_off() -> None:
    with connection.schema_editor() as editor:
        for table in TABLES:
            for index in table._meta.indexes:
                editor.remove_index(table, index)


def _put_indexes_on() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SET maintenance_work_mem = '1GB'")
    with connection.schema_editor() as editor:
        for table in TABLES:
            for index in table._meta.indexes:
                editor.add_index(table, index)


def _statements(visits: str) -> tuple[str, str, str]:
    pits = (
        "SELECT w.*, w.v * 2 + k AS p, md5('pit' || w.v * 2 + k)::uuid AS pit_id "  # noqa: S608 -- ours
        f"FROM ({visits}) w, generate_series(0, 1) AS k OFFSET 0"
    )
    counts = (
        "SELECT q.*, q.p * 8 + line AS c, line, "  # noqa: S608 -- ours
        "pg_temp.draw(q.p * 8 + line, 'number') % 7 AS n "
        f"FROM ({pits}) q, generate_series(0, 7) AS line OFFSET 0"
    )
    visit = _OF_VISIT | {
        "id": "visit_id",
        "pits": "2",
        "habitats": '\'["lawn", "hedge"]\'::jsonb',
        "habitats_text": "'|hedge|lawn|'",
    }
    pit = _OF_VISIT | _OF_PIT | {"id": "pit_id", "found": "pg_temp.draw(p, 'found') % 30"}
    return (
        _insert("visits", PublishedVisit, visit, visits),
        _insert("pits", PublishedPit, pit, pits),
        _insert("counts", PublishedCount, _OF_VISIT | _OF_PIT | _COUNT, counts),
    )


def _insert(collection: str, table: Any, columns: Mapping[str, str], source: str) -> str:
    """Return a statement that writes rows with their documents.

    The server's own JSON says the same as ours; numbers without a fraction are shorter in it.
    """
    named = ", ".join(f'({value}) AS "{name}"' for name, value in columns.items())
    names = ", ".join(f'"{name}"' for name in columns)
    told = ", ".join(f'r."{name}"' for name in field_names(collection))
    document = f"(SELECT row_to_json(d)::text FROM (SELECT {told}) d)"  # noqa: S608 -- names of ours
    return (
        f"INSERT INTO {table._meta.db_table} ({names}, document) "  # noqa: S608 -- names of ours
        f"SELECT {names}, {document} FROM (SELECT {named} FROM ({source}) s OFFSET 0) r"
    )
