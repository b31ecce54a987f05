"""Every column of a published table is either explained to readers or named as bookkeeping."""

from typing import Any

import pytest

from portal.records.fields import field_names
from portal.records.models import (
    OpenedCell,
    PublishedCount,
    PublishedPit,
    PublishedVisit,
    Release,
    ReleaseFile,
    Tombstone,
)

# Columns that carry versions, serve the filters, or only go into the archive.
BOOKKEEPING = {"row", "since_release", "until_release", "hidden", "modified_at"}
FOR_FILTERS = {"habitats_text", "management_text"}
FOR_THE_ARCHIVE = {"footprint_wkt", "georeference_protocol", "precision_deg"}
OF_VISITS_ALREADY = {"sampled_first_on", "sampled_last_on"}
TABLES = {"visits": PublishedVisit, "pits": PublishedPit, "counts": PublishedCount}
# The other public tables: every column is shown by the harvest face.
SHOWN: dict[Any, set[str]] = {
    Release: {
        "number", "issued_at", "title", "rights_holder", "doi", "doi_set_at", "licence_id",
        "licence_url", "rules", "credits", "protocols", "quality",
    },
    Tombstone: {
        "id", "kind", "withdrawn_on", "reason_class", "first_release", "last_release", "entry",
    },
    OpenedCell: {"id", "place_class", "cell", "release"},
    ReleaseFile: {
        "id", "release", "build", "name", "media_type", "size_bytes", "sha256", "rows",
        "built_at", "gone_at",
    },
}  # fmt: skip
# Words that no public column may have in its name.
PRIVATE_WORDS = (
    "participant", "household", "owner", "name", "contact", "born", "note", "reviewer", "client",
    "received", "sent", "exact", "token", "revision", "unit", "public_id",
)  # fmt: skip


def columns(model: Any) -> set[str]:
    return {field.name for field in model._meta.concrete_fields}


@pytest.mark.parametrize("collection", TABLES)
def test_column_is_explained_or_named_as_bookkeeping(collection: str) -> None:
    explained = set(field_names(collection))
    known = explained | BOOKKEEPING | FOR_FILTERS | FOR_THE_ARCHIVE | OF_VISITS_ALREADY

    assert columns(TABLES[collection]) - known == set(), "explain it in portal/records/fields.py"
    assert explained - columns(TABLES[collection]) == set()


@pytest.mark.parametrize("model", SHOWN, ids=lambda model: model.__name__)
def test_column_of_another_public_table_is_known(model: Any) -> None:
    assert columns(model) == SHOWN[model]


@pytest.mark.parametrize("collection", TABLES)
def test_no_public_column_has_a_private_name(collection: str) -> None:
    named = {
        column
        for column in columns(TABLES[collection])
        if any(word in column.split("_") for word in PRIVATE_WORDS)
    }

    assert named == set()
