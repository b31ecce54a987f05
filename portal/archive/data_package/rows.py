"""Rows of the package: those of the archive of events under the names of the package.

A survey is what an event looked for and how; it and its target are named by the event's own
permanent address. What the archive measures, the package asserts.
"""

from collections.abc import Callable, Iterator
from typing import Any

from portal.archive.data_package.tables import (
    EVENT,
    EVENT_ASSERTION,
    OCCURRENCE,
    OCCURRENCE_ASSERTION,
    SURVEY,
    SURVEY_TARGET,
    field_names,
)
from portal.archive.edition import Edition
from portal.archive.event_rows import event_rows
from portal.archive.humboldt_rows import humboldt_rows
from portal.archive.measurement_rows import measurement_rows
from portal.archive.occurrence_rows import occurrence_rows
from portal.archive.reading import VisitTree
from portal.archive.values import LIST_SEPARATOR

Row = dict[str, Any]

# Kind of target, the column of the archive that lists its values, and which way it counts.
_TARGETS = (
    ("taxon", "targetTaxonomicScope", "include"),
    ("lifeStage", "targetLifeStageScope", "include"),
    ("lifeStage", "excludedLifeStageScope", "exclude"),
    ("habitat", "targetHabitatScope", "include"),
)


def _events(edition: Edition, visit: VisitTree) -> Iterator[Row]:
    for row in event_rows(edition, visit):
        yield _kept(EVENT, row | {"eventEffort": row["samplingEffort"]})


def _surveys(edition: Edition, visit: VisitTree) -> Iterator[Row]:
    for event, scope in _scopes(edition, visit):
        yield _kept(SURVEY, event | scope | {"surveyID": _survey_id(scope["coreid"])})


def _survey_targets(edition: Edition, visit: VisitTree) -> Iterator[Row]:
    for _, scope in _scopes(edition, visit):
        shared = {
            "surveyTargetID": _target_id(scope["coreid"]),
            "surveyID": _survey_id(scope["coreid"]),
            "isSurveyTargetFullyReported": scope["isTaxonomicScopeFullyReported"],
        }
        for kind, column, direction in _TARGETS:
            for value in filter(None, scope[column].split(LIST_SEPARATOR)):
                yield shared | {
                    "surveyTargetType": kind,
                    "surveyTargetValue": value,
                    "includeOrExclude": direction,
                }


def _occurrences(edition: Edition, visit: VisitTree) -> Iterator[Row]:
    for row in occurrence_rows(edition, visit):
        yield _kept(OCCURRENCE, row | {"surveyTargetID": _target_id(row["eventID"])})


def _event_assertions(edition: Edition, visit: VisitTree) -> Iterator[Row]:
    for row in measurement_rows(edition, visit):
        if "occurrenceID" not in row:
            yield _assertion(row) | {"eventID": row["coreid"]}


def _occurrence_assertions(edition: Edition, visit: VisitTree) -> Iterator[Row]:
    for row in measurement_rows(edition, visit):
        if "occurrenceID" in row:
            yield _assertion(row) | {"occurrenceID": row["occurrenceID"]}


def _scopes(edition: Edition, visit: VisitTree) -> Iterator[tuple[Row, Row]]:
    """Yield each event with its scope."""
    events = {row["eventID"]: row for row in event_rows(edition, visit)}
    for scope in humboldt_rows(edition, visit):
        yield events[scope["coreid"]], scope


def _assertion(row: Row) -> Row:
    return {
        "assertionID": row["measurementID"],
        "assertionType": row["measurementType"],
        "assertionTypeIRI": row["measurementTypeID"],
        "assertionValue": row["measurementValue"],
        "assertionUnit": row.get("measurementUnit"),
        "assertionProtocols": row.get("measurementMethod"),
        "assertionRemarks": row.get("measurementRemarks"),
    }


def _kept(table: str, row: Row) -> Row:
    """Keep of a row of the archive what the table has a field for."""
    return {name: row[name] for name in field_names(table) if name in row}


def _survey_id(event: str) -> str:
    return f"{event}#survey"


def _target_id(event: str) -> str:
    return f"{event}#survey-target"


BUILDERS: dict[str, Callable[[Edition, VisitTree], Iterator[Row]]] = {
    EVENT: _events,
    SURVEY: _surveys,
    SURVEY_TARGET: _survey_targets,
    OCCURRENCE: _occurrences,
    EVENT_ASSERTION: _event_assertions,
    OCCURRENCE_ASSERTION: _occurrence_assertions,
}
