"""Every column that the public side may read is decided on: it is here, with its reason.

A column that a table gains tomorrow fails these tests until somebody says why it may be public.
What the columns of records mean is told to readers in portal/records/fields.py.
"""

from typing import Any

import pytest

from portal.records.fields import field_names
from portal.records.models import (
    ChangeEntry,
    HidingNote,
    PublishedCount,
    PublishedPit,
    PublishedVisit,
    Release,
    ReleaseFile,
    Tombstone,
)
from portal.roles.reader import READABLE
from portal.snapshots.models import Snapshot, SnapshotIds

RECORDS = {"visits": PublishedVisit, "pits": PublishedPit, "counts": PublishedCount}
# Why a column of records may be public, and the columns that may be for this reason.
OF_RECORDS: dict[str, tuple[str, ...]] = {
    "drawn at random when first released, so it says nothing of what it names": (
        *("id", "visit_id", "site_id", "pit_id", "phase_id"),
    ),
    "made from the cell alone, which at least k households share": (
        *("cell", "cell_level", "latitude", "longitude", "uncertainty_m", "country_code"),
        *("precision_deg", "footprint_wkt", "georeference_protocol"),
        *("data_generalizations", "information_withheld"),
    ),
    "coarsened by kind of place: the day, or only the month": (
        *("sampled_on", "sampled_first_on", "sampled_last_on", "date_precision", "season"),
    ),
    "agreed to by the one it names, and taken off where it would give a place away": (
        *("group_code", "recorded_by", "recorded_by_id"),
    ),
    "cleared by a moderator, word by word": ("remarks",),
    "how the pit was measured, which is the same for many": (
        *("protocol", "paired", "people_digging", "pits", "width_cm", "length_cm", "depth_cm"),
        *("area_m2", "sorting_minutes", "sorted_to_end", "hand_sort", "expellant"),
        *("expellant_agent", "expellant_ml", "expellant_wait_min", "effort_known", "method"),
        *("fizz_acid", "texture_key", "colour_state"),
    ),
    "what the pit showed of ground and use, by closed lists of words": (
        *("habitat", "habitats", "management", "management_state"),
        *("moisture", "fizz", "texture", "colour"),
    ),
    "what was found, which is what the survey is for": (
        *("found", "group", "stage", "taxon", "coarse_taxon", "state", "number"),
        *("number_recorded", "occurrence_status", "verification"),
    ),
    "bookkeeping of versions; never in an answer, and no finer than a release": (
        *("row", "since_release", "until_release", "hidden", "modified_at"),
    ),
    "repeats other columns for the filters": ("habitats_text", "management_text", "degree_cell"),
    "the row as it is answered": ("document",),
}
NOT_FOR_READERS = {
    *("row", "since_release", "until_release", "hidden", "modified_at"),  # of versions
    *("habitats_text", "management_text", "degree_cell"),  # for filters
    "document",  # is the answer
    *("footprint_wkt", "georeference_protocol", "precision_deg"),  # for the archive
}
# The other tables: why, and which columns.
OF_OTHERS: dict[Any, dict[str, tuple[str, ...]]] = {
    Release: {
        "names the release and its terms": (
            *("number", "issued_at", "title", "rights_holder", "doi", "doi_set_at"),
            *("licence_id", "licence_url"),
        ),
        "says by which rules and protocols it was made, and nobody's name": ("rules", "protocols"),
        "only groups that agreed to be credited": ("credits",),
        "tallies over published rows": ("quality",),
    },
    ChangeEntry: {
        "orders the feed; a release's instant, or that of a withdrawal, which is seen at once": (
            *("number", "release", "at"),
        ),
    },
    HidingNote: {
        "ids that readers have already, and what to do with them": (
            *("id", "entry", "kind", "record", "change"),
        ),
    },
    Tombstone: {
        "what a reader must know to delete a copy": (
            *("id", "kind", "withdrawn_on", "reason_class"),
            *("first_release", "last_release", "entry"),
        ),
    },
    ReleaseFile: {
        "describes a file that anybody may have, or that it is gone": (
            *("id", "release", "build", "name", "media_type", "size_bytes", "sha256", "rows"),
            *("built_at", "gone_at"),
        ),
    },
    Snapshot: {
        "describes a public query and its public answer": (
            *("id", "release", "collection", "query", "query_sha256", "fields", "sort"),
            *("rows", "size_bytes", "sha256", "entry", "created_at"),
        ),
        "only groups that are named on the rows": ("groups", "has_unnamed_groups"),
    },
    SnapshotIds: {"ids of public rows": ("id", "snapshot", "number", "ids")},
}
# Words that no public column may have in its name.
PRIVATE_WORDS = (
    "participant", "household", "owner", "name", "contact", "born", "note", "reviewer", "client",
    "received", "sent", "exact", "token", "revision", "unit", "public_id",
)  # fmt: skip


def columns(model: Any) -> set[str]:
    return {field.name for field in model._meta.concrete_fields}


def decided(reasons: dict[str, tuple[str, ...]]) -> list[str]:
    """Return the columns that have a reason, as often as they have one."""
    return [name for names in reasons.values() for name in names]


def test_every_table_that_the_public_side_may_read_is_here() -> None:
    assert {*RECORDS.values(), *OF_OTHERS} == set(READABLE)


def test_every_column_of_records_has_one_reason() -> None:
    every = set().union(*(columns(model) for model in RECORDS.values()))

    assert sorted(decided(OF_RECORDS)) == sorted(every)


@pytest.mark.parametrize("model", OF_OTHERS, ids=lambda model: model.__name__)
def test_every_column_of_another_public_table_has_one_reason(model: Any) -> None:
    assert sorted(decided(OF_OTHERS[model])) == sorted(columns(model))


@pytest.mark.parametrize("collection", RECORDS)
def test_column_of_records_is_explained_to_readers_or_not_for_them(collection: str) -> None:
    explained = set(field_names(collection))

    assert columns(RECORDS[collection]) - explained <= NOT_FOR_READERS, (
        "explain it in portal/records/fields.py"
    )
    assert explained - columns(RECORDS[collection]) == set()


@pytest.mark.parametrize("collection", RECORDS)
def test_no_public_column_has_a_private_name(collection: str) -> None:
    named = {
        column
        for column in columns(RECORDS[collection])
        if any(word in column.split("_") for word in PRIVATE_WORDS)
    }

    assert named == set()
