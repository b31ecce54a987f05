"""What a visit says to those who dug it: its own pits compared with each other."""

from collections.abc import Iterator
from itertools import combinations
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.links import address
from api.partners.base import PartnerView
from api.partners.reading import only_known
from api.schema import json_body, problems
from portal.publication.columns import last_number
from portal.statistics.comparison import compare_two_pits
from portal.statistics.comparison_rows import significant
from portal.statistics.findings import Finding, adjust_for_several
from portal.statistics.samples import PitSample
from portal.statistics.tallies import PitTally, tally_pits
from portal.statistics.two_spots import CAUTION, verdict
from surveys.protocol.vocabulary import PhaseKind, PhaseState
from surveys.visits.models import Pit, Visit, VisitState

NOTHING_TO_COMPARE = "No two pits of this visit were sorted in the same way, so none are compared."


class ResultView(PartnerView):
    """The result of one own visit."""

    @extend_schema(
        operation_id="read_own_result",
        tags=["partner"],
        summary="What the pits of one own visit say, in plain words and with an interval",
        responses={
            200: json_body(
                "Verdict, pits, each pair, and a caution.",
                {
                    "verdict": {"type": "string"},
                    "caution": {"type": "string"},
                    "pits": {"type": "array", "items": {"type": "object"}},
                    "pairs": {"type": "array", "items": {"type": "object"}},
                    "pits_left_out": {"type": "object"},
                },
            ),
            **problems(400, 401, 403, 404, 409, 429),
        },
    )
    def get(self, request: Request, client_ref: str) -> Response:
        """Compare the pits of a visit.

        Raises
        ------
        Problem
            If the visit was withdrawn.
        """
        only_known(request)
        visit = self.visit_of(request, client_ref)
        if visit.state == VisitState.WITHDRAWN:
            code = "wrong-state"
            raise Problem(code, "The visit is withdrawn.")
        return Response(_result(visit))


def _result(visit: Visit) -> dict[str, Any]:
    tallies = tally_pits(_lines(visit), {})
    names = _names([pit.traits for pit in tallies.pits])
    samples = {
        pit.key: PitSample(names[pit.key], (pit.number,), (pit.area_m2,)) for pit in tallies.pits
    }
    findings = adjust_for_several(
        [
            compare_two_pits(samples[first.key], samples[second.key])
            for first, second in combinations(tallies.pits, 2)
            if first.steps == second.steps
        ]
    )
    return {
        "client_ref": visit.client_ref,
        "state": visit.state,
        "revision": visit.revision,
        "verdict": " ".join(verdict(finding) for finding in findings) or NOTHING_TO_COMPARE,
        "caution": CAUTION,
        "pits": [_pit(pit, samples[pit.key]) for pit in tallies.pits],
        "pairs": [_pair(finding) for finding in findings],
        "pits_left_out": tallies.left_out,
        "links": {"visit": address(f"/api/v1/partner/visits/{visit.client_ref}")},
    }


def _lines(visit: Visit) -> Iterator[dict[str, Any]]:
    """Yield the lines of the newest revision as published ones would be, with private keys."""
    pits = visit.current_pits().prefetch_related("phases__counts__determinations")
    for pit in pits:
        states = {phase.kind: phase.state for phase in pit.phases.all()}
        traits = {
            "pit_id": pit.number,
            "visit_id": visit.client_ref,
            "site_id": visit.site_id,
            "area_m2": pit.width_cm * pit.length_cm / 10000,
            "effort_known": PhaseState.NOT_ENTERED not in states.values(),
            "protocol": str(visit.protocol),
            "expellant": states.get(PhaseKind.EXPELLANT.value),
            "habitat": pit.habitat,
            "management": _management(pit),
        }
        for phase in pit.phases.all():
            for count in phase.counts.all():
                yield traits | {"state": count.state, "number": last_number(count)}


def _management(pit: Pit) -> str:
    return ", ".join(sorted(pit.management or ()))


def _names(pits: list[Any]) -> dict[str, str]:
    """Return a name for each pit: as short as tells them apart."""
    habitats = [pit["habitat"] for pit in pits]
    uses = [f"{pit['habitat']} ({pit['management'] or 'nothing done'})" for pit in pits]
    numbered = [f"{pit['habitat']} of pit {pit['pit_id']}" for pit in pits]
    told_apart = (names for names in (habitats, uses, numbered) if len(set(names)) == len(pits))
    fitting = next(told_apart)
    return {str(pit["pit_id"]): name for pit, name in zip(pits, fitting, strict=True)}


def _pit(pit: PitTally, sample: PitSample) -> dict[str, Any]:
    return {
        "number": pit.traits["pit_id"],
        "name": sample.name,
        "steps": pit.steps,
        "animals": sample.total_count,
        "per_m2": round(sample.per_m2, 1),
    }


def _pair(finding: Finding) -> dict[str, Any]:
    lower, upper = finding.interval or (None, None)
    return {
        "first": finding.first.name,
        "second": finding.second.name,
        "verdict": verdict(finding),
        "outcome": finding.outcome.name.lower(),
        "ratio": significant(finding.ratio),
        "lower": significant(lower),
        "upper": significant(upper),
        "p_value": significant(finding.p_value),
        "method": finding.method,
        "sentence": finding.sentence,
    }
