"""Which tables the package has; their fields are the standard's own, re-keyed here."""

import json
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

_SCHEMAS: Final = Path(__file__).with_name("schemas.json")

EVENT: Final = "event"
SURVEY: Final = "survey"
SURVEY_TARGET: Final = "survey-target"
OCCURRENCE: Final = "occurrence"
EVENT_ASSERTION: Final = "event-assertion"
OCCURRENCE_ASSERTION: Final = "occurrence-assertion"
TABLES: Final = (
    EVENT,
    SURVEY,
    SURVEY_TARGET,
    OCCURRENCE,
    EVENT_ASSERTION,
    OCCURRENCE_ASSERTION,
)


@lru_cache(maxsize=1)
def definitions() -> dict[str, dict[str, Any]]:
    """Return title, description and schema of each table."""
    tables: dict[str, dict[str, Any]] = json.loads(_SCHEMAS.read_text(encoding="utf-8"))["tables"]
    return tables


def field_names(table: str) -> tuple[str, ...]:
    """Return the names of the fields of a table, in the order of its schema."""
    return tuple(field["name"] for field in definitions()[table]["schema"]["fields"])


def file_name(table: str) -> str:
    """Return the name of the file of a table."""
    return f"{table}.csv"
