"""Trials of the measuring: sending them, reading them, and what follows from them."""

from typing import Any, ClassVar

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.links import address
from api.partners.base import PartnerView
from api.partners.reading import json_object, only_known
from api.partners.shapes import documented
from api.schema import json_body, problems
from surveys.calibration.models import CalibrationTrial
from surveys.calibration.operations import TrialDiffers, TrialFacts, take_trial
from surveys.calibration.payload import TrialIn
from surveys.calibration.queries import trials_of
from surveys.calibration.resolving import resolve_trial
from surveys.calibration.results import results
from surveys.intake.reading import read_shape
from surveys.people.models import Group

PATH = "/api/v1/partner/calibrations"


class CalibrationsView(PartnerView):
    """Trials of the own group."""

    scopes: ClassVar[dict[str, str]] = PartnerView.scopes | {"POST": "submit"}

    @extend_schema(
        operation_id="list_calibrations",
        tags=["partner"],
        summary="Own trials of the measuring, newest first",
        responses={200: json_body("Trials."), **problems(400, 401, 403, 429)},
    )
    def get(self, request: Request) -> Response:
        """Answer own trials."""
        only_known(request)
        return Response({"data": [_shape(trial) for trial in trials_of(self.group_of(request))]})

    @extend_schema(
        operation_id="send_calibration",
        tags=["partner"],
        summary="Send a trial: two observers of the same material, or known numbers put in",
        request=TrialIn,
        responses={
            200: json_body("The trial, stored before with the same content."),
            201: json_body("The trial as stored."),
            **problems(400, 401, 403, 409, 413, 415, 422, 429),
        },
    )
    def post(self, request: Request) -> Response:
        """Take a trial in.

        Raises
        ------
        Problem
            If the reference is stored with other content.
        """
        only_known(request)
        facts = _facts(request, self.group_of(request))
        try:
            trial, is_new = take_trial(facts=facts, at=timezone.now())
        except TrialDiffers as error:
            code = "wrong-state"
            raise Problem(code, str(error)) from error
        shape = _shape(trial)
        return Response(
            shape | {"stored": "new" if is_new else "unchanged"},
            status=201 if is_new else 200,
            headers={"Location": shape["links"]["self"]},
        )


class CalibrationView(PartnerView):
    """One trial."""

    @extend_schema(
        operation_id="read_calibration",
        tags=["partner"],
        summary="One own trial of the measuring",
        responses={200: json_body("The trial."), **problems(400, 401, 403, 404, 429)},
    )
    def get(self, request: Request, client_ref: str) -> Response:
        """Answer a trial.

        Raises
        ------
        Problem
            If the group has no such trial; another group's is as unknown as none.
        """
        only_known(request)
        trial = trials_of(self.group_of(request)).filter(client_ref=client_ref).first()
        if trial is None:
            code = "not-found"
            raise Problem(code)
        return Response(_shape(trial))


class CalibrationResultsView(PartnerView):
    """What the own trials say."""

    @extend_schema(
        operation_id="read_calibration_results",
        tags=["partner"],
        summary="Share of known animals found, and agreement of observers, from own trials",
        responses={
            200: json_body("Detection and agreement with intervals, by protocol and step."),
            **problems(400, 401, 403, 429),
        },
    )
    def get(self, request: Request) -> Response:
        """Answer detection and agreement."""
        only_known(request)
        group = self.group_of(request)
        return Response(results(CalibrationTrial.objects.filter(group=group)))


def _facts(request: Request, group: Group) -> TrialFacts:
    code = "invalid-records"
    sent, faults = read_shape(TrialIn, json_object(request))
    if sent is None:
        raise Problem(code, **documented(faults))
    facts, faults = resolve_trial(sent, group, timezone.now().date())
    if facts is None:
        raise Problem(code, **documented(faults))
    return facts


def _shape(trial: CalibrationTrial) -> dict[str, Any]:
    first = trial.first_observer
    return {
        "client_ref": trial.client_ref,
        "kind": trial.kind,
        "protocol": str(trial.protocol),
        "step": trial.step,
        "observer": trial.observer.code,
        "first_observer": None if first is None else first.code,
        "held_on": trial.held_on.isoformat(),
        "lines": [
            {
                "group": line.group,
                "stage": line.stage,
                "known": line.known,
                "observed": line.observed,
            }
            for line in trial.lines.all()
        ],
        "links": {"self": address(f"{PATH}/{trial.client_ref}")},
    }
