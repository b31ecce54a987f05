"""Rows of the survey-scope file: what each event looked for, and how much of it was reported.

Scope comes from the protocol and is repeated on every event, since children do not inherit.
Whether everything found was reported, and what was absent, comes from the lines of the event
itself: a blank line makes the answer "no", a step left out is simply not part of the event.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from portal.archive import addresses
from portal.archive.absence import absent_names
from portal.archive.edition import Edition
from portal.archive.effort import (
    Effort,
    measured_pit_effort,
    measured_step_effort,
    measured_visit_effort,
)
from portal.archive.protocols import StoredProtocol
from portal.archive.reading import PitTree, StepTree, VisitTree
from portal.archive.values import listed
from portal.records.models import PublishedCount, PublishedPit

Row = dict[str, Any]

METHOD_NAMES = {"hand_sort": "handSorting", "expellant": "expellantExtraction"}


@dataclass(frozen=True)
class Lines:
    """The lines that an event should have counted, and whether its sorting was cut short."""

    counts: list[PublishedCount]
    cut_short: bool

    @property
    def all_counted(self) -> bool:
        """Tell whether there are lines and each was counted to the end."""
        return bool(self.counts) and not self.cut_short and all(map(_is_counted, self.counts))

    @property
    def any_counted(self) -> bool:
        """Tell whether any line was counted."""
        return any(map(_is_counted, self.counts))


def humboldt_rows(edition: Edition, visit: VisitTree) -> Iterator[Row]:
    """Yield one row for a visit, for each of its pits, and for each step that took place."""
    yield _visit(edition, visit)
    for pit in visit.pits:
        yield _pit(edition, pit)
        for step in pit.steps:
            if step.took_place:
                yield _step(edition, step)


def _visit(edition: Edition, visit: VisitTree) -> Row:
    row = visit.row
    protocol = edition.protocol(row.protocol)
    lines = [_lines_of(pit.steps) for pit in visit.pits]
    performed = [step.kind for step in protocol.steps if step.performed]
    return (
        _scope(edition, protocol, lines)
        | _methods(protocol, performed, protocol.summary)
        | _effort(measured_visit_effort(row))
        | {
            "coreid": addresses.permanent("visit", row.visit_id),
            "targetHabitatScope": listed(row.habitats),
        }
    )


def _pit(edition: Edition, pit: PitTree) -> Row:
    row = pit.row
    protocol = edition.protocol(row.protocol)
    lines = _lines_of(pit.steps)
    done = [kind for kind in METHOD_NAMES if getattr(row, kind) == "done"]
    return (
        _scope(edition, protocol, [lines])
        | _results(edition, lines)
        | _methods(protocol, done, protocol.summary)
        | _effort(measured_pit_effort(row))
        | _ground(row)
        | {"coreid": addresses.permanent("pit", row.pit_id)}
    )


def _step(edition: Edition, step: StepTree) -> Row:
    row = step.row
    protocol = edition.protocol(row.protocol)
    lines = _lines_of([step])
    return (
        _scope(edition, protocol, [lines])
        | _results(edition, lines)
        | _methods(protocol, [row.method], protocol.method(row.method))
        | _effort(measured_step_effort(row))
        | _ground(row)
        | {"coreid": addresses.permanent("phase", row.phase_id)}
    )


def _lines_of(steps: list[StepTree]) -> Lines:
    wanted = [step for step in steps if step.state != "not_done" or step.took_place]
    cut_short = any(
        step.row.method == "hand_sort" and step.row.sorted_to_end is False for step in wanted
    )
    return Lines([count for step in wanted for count in step.counts], cut_short)


def _scope(edition: Edition, protocol: StoredProtocol, reports: list[Lines]) -> Row:
    """Return the scope of a protocol, and whether every one of some reports kept to it."""
    everything = bool(reports) and all(lines.all_counted for lines in reports)
    fully_reported = protocol.counts_every_animal and everything
    return {
        "siteCount": 1,
        "targetTaxonomicScope": listed(protocol.taxa),
        "targetLifeStageScope": listed(protocol.stages),
        "excludedLifeStageScope": listed(protocol.stages_excluded),
        "isTaxonomicScopeFullyReported": fully_reported,
        "isLifeStageScopeFullyReported": fully_reported,
        "isAbsenceReported": any(lines.any_counted for lines in reports),
        "taxonCompletenessReported": "notReported",
        "compilationTypes": "samplingEvents",
        "inventoryTypes": "restrictedSearch",
        "samplingPerformedBy": edition.recorders,
    }


def _results(edition: Edition, lines: Lines) -> Row:
    return {
        "absentTaxa": listed(absent_names(edition, lines.counts)),
        "hasNonTargetTaxa": False,
        "isAbundanceReported": lines.any_counted,
        "isAbundanceCapReported": False,
        "isLeastSpecificTargetCategoryQuantityInclusive": False,
        "hasVouchers": False,
        "hasMaterialSamples": False,
    }


def _methods(protocol: StoredProtocol, kinds: list[str], description: str) -> Row:
    return {
        "protocolNames": listed([METHOD_NAMES[kind] for kind in kinds]),
        "protocolDescriptions": description,
        "protocolReferences": addresses.protocol(protocol.name),
    }


def _effort(effort: Effort | None) -> Row:
    if effort is None:
        return {"isSamplingEffortReported": False}
    return {
        "isSamplingEffortReported": True,
        "samplingEffortProtocol": effort.protocol,
        "samplingEffortValue": effort.value,
        "samplingEffortUnit": effort.unit,
    }


def _ground(row: PublishedPit | PublishedCount) -> Row:
    return {
        "targetHabitatScope": row.habitat,
        "totalAreaSampledValue": row.area_m2,
        "totalAreaSampledUnit": "m²",
    }


def _is_counted(count: PublishedCount) -> bool:
    return count.state == "counted"
