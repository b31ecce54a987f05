"""How complete the records of a release are, from its published tables alone."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import Count, Q

from portal.records.fields import field_names
from portal.records.queries import TABLES

# Words that tell of the standing of records: tallied as they stand.
TALLIED: dict[str, tuple[str, ...]] = {
    "visits": ("verification", "date_precision", "cell_level"),
    "pits": ("verification", "management_state"),
    "counts": ("verification", "state", "occurrence_status"),
}


@dataclass(frozen=True)
class Completeness:
    """Rows of one table of a release, those without a value by field, and some tallies."""

    rows: int
    missing: dict[str, int]
    tallies: dict[str, dict[str, int]]


def completeness(collection: str, release: int) -> Completeness:
    """Return how complete one table of a release is, as it stands now."""
    rows = TABLES[collection].objects.at(release).order_by()
    fields = list(_nullable(collection))
    missing = rows.aggregate(
        **{f"no_{name}": Count("row", filter=Q(**{f"{name}__isnull": True})) for name in fields}
    )
    return Completeness(
        rows=rows.count(),
        missing={name: missing[f"no_{name}"] for name in fields},
        tallies={
            name: {
                str(one[name]): one["n"]
                for one in rows.values(name).annotate(n=Count("row")).order_by(name)
            }
            for name in TALLIED[collection]
        },
    )


def _nullable(collection: str) -> Iterator[str]:
    columns = {field.name: field for field in TABLES[collection]._meta.concrete_fields}
    for name in field_names(collection):
        if name in columns and columns[name].null:
            yield name
