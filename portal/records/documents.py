"""Each published row as the JSON text that is answered, prepared once for all readers.

A row version never changes, so its document is written beside it when it is. Whoever changes a
column all the same clears the document in the same statement (``VersionedRows.update``), and a row
without one is told anew: no document can say what its row no longer says.
"""

import json
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from functools import cache
from typing import Any
from uuid import UUID

from django.db.models import Field, Model

from portal.records.fields import FIELDS

_COLLECTIONS = {"publishedvisit": "visits", "publishedpit": "pits", "publishedcount": "counts"}


def plain_row(row: Any, names: Sequence[str]) -> dict[str, Any]:
    """Return the named public columns of a row."""
    return {name: _plain(getattr(row, name)) for name in names}


def json_text(told: Mapping[str, Any]) -> str:
    """Return what is told of a row as JSON on one line."""
    return json.dumps(told, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def document_of(row: Model) -> str:
    """Return a row with all its public fields as JSON, the same before and after it is stored."""
    stored = {name: to_stored(getattr(row, name)) for name, to_stored in _columns(type(row))}
    return json_text({name: _plain(value) for name, value in stored.items()})


@cache
def _columns(table: type[Model]) -> list[tuple[str, Callable[[Any], Any]]]:
    """Return the public columns of a table, each with what makes a value that of its type."""
    columns: dict[str, Field[Any, Any]] = {one.name: one for one in table._meta.concrete_fields}
    fields = FIELDS[_COLLECTIONS[str(table._meta.model_name)]]
    return [(field.name, columns[field.name].to_python) for field in fields]


def _plain(value: Any) -> Any:
    if isinstance(value, UUID):
        return str(value)
    return value.isoformat() if isinstance(value, date) else value
