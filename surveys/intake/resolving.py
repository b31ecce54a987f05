"""Tie a well-formed visit to what is known: protocol, participant, site, counted lines."""

from dataclasses import dataclass
from typing import Any

from surveys.intake.datums import DatumUnusable, in_wgs84
from surveys.intake.faults import Fault
from surveys.intake.payload import PhaseIn, PitIn, SiteIn, VisitIn
from surveys.people.models import Group, Participant
from surveys.protocol.definition import Protocol
from surveys.protocol.models import ProtocolVersion
from surveys.protocol.queries import protocol_named, protocol_names
from surveys.protocol.vocabulary import PlaceDetail
from surveys.sites.models import Site
from surveys.sites.operations import Placement


@dataclass(frozen=True)
class Resolved:
    """A visit with everything it names."""

    visit: VisitIn
    version: ProtocolVersion
    protocol: Protocol
    participant: Participant
    placement: Placement


class _Faults(list[Fault]):
    def __init__(self, pointer: str, record: str) -> None:
        super().__init__()
        self.pointer = pointer
        self.record = record

    def add(self, where: str, code: str, message: str, **more: Any) -> None:
        """Add an error at a place below the visit."""
        fault = Fault(
            pointer=self.pointer + where,
            code=code,
            severity="error",
            message=message,
            record=self.record,
            **more,
        )
        self.append(fault)


def resolve(visit: VisitIn, group: Group, pointer: str) -> tuple[Resolved | None, list[Fault]]:
    """Return the visit with what it names, or nothing and every fault found."""
    faults = _Faults(pointer, visit.client_ref)
    visit = _in_wgs84(visit, faults)
    version = _protocol(visit, faults)
    participant = _participant(visit, group, faults)
    placement = _placement(visit.site, group, faults)
    protocol = None if version is None else version.read()
    if protocol is not None:
        _match_protocol(visit, protocol, faults)
    if version is None or protocol is None or participant is None or placement is None or faults:
        return None, faults
    return Resolved(visit, version, protocol, participant, placement), []


def _in_wgs84(visit: VisitIn, faults: _Faults) -> VisitIn:
    try:
        return in_wgs84(visit)
    except DatumUnusable as error:
        faults.add("/site/datum", "datum-unusable", str(error), received=visit.site.datum)
        return visit


def _protocol(visit: VisitIn, faults: _Faults) -> ProtocolVersion | None:
    version = protocol_named(visit.protocol)
    if version is None:
        faults.add(
            "/protocol",
            "protocol-unknown",
            "No such protocol version.",
            received=visit.protocol,
            allowed=", ".join(protocol_names()),
        )
    return version


def _participant(visit: VisitIn, group: Group, faults: _Faults) -> Participant | None:
    participant = group.participants.filter(code=visit.participant).first()
    if participant is None:
        faults.add(
            "/participant",
            "participant-unknown",
            "Your group has no participant with this code.",
            received=visit.participant,
        )
    return participant


def _placement(sent: SiteIn, group: Group, faults: _Faults) -> Placement | None:
    site = Site.objects.filter(group=group, code=sent.code).first()
    if site is not None:
        return _known_site(sent, site, faults)
    missing = [n for n in ("latitude", "longitude", "place_kind") if getattr(sent, n) is None]
    for name in missing:
        faults.add(
            f"/site/{name}",
            "site-new-needs-place",
            f"The site {sent.code} is new and needs {name}.",
        )
    if sent.latitude is None or sent.longitude is None or sent.place_kind is None:
        return None
    return Placement(
        code=sent.code,
        latitude=sent.latitude,
        longitude=sent.longitude,
        uncertainty_m=sent.uncertainty_m,
        placed_by_hand=sent.placed_by_hand,
        place_kind=sent.place_kind.value,
        place_detail=sent.place_detail.value,
    )


def _known_site(sent: SiteIn, site: Site, faults: _Faults) -> Placement | None:
    """Refuse to move a known site by the way: a moved place is another place."""
    differs = [
        name
        for name in ("latitude", "longitude", "place_kind")
        if getattr(sent, name) is not None and getattr(sent, name) != getattr(site, name)
    ]
    for name in differs:
        faults.add(
            f"/site/{name}",
            "site-differs",
            f"Site {sent.code} is known with another {name}.",
        )
    if differs:
        return None
    return Placement(
        code=site.code,
        latitude=site.latitude,
        longitude=site.longitude,
        uncertainty_m=site.uncertainty_m,
        placed_by_hand=site.placed_by_hand,
        place_kind=site.place_kind,
        place_detail=_most_protective(sent, site),
    )


def _most_protective(sent: SiteIn, site: Site) -> str:
    """Return the coarser of what is known and what was asked for; never the finer by the way."""
    if "place_detail" not in sent.model_fields_set:
        return site.place_detail
    from_fine_to_coarse = PlaceDetail.values
    return max(site.place_detail, sent.place_detail.value, key=from_fine_to_coarse.index)


def _match_protocol(visit: VisitIn, protocol: Protocol, faults: _Faults) -> None:
    for index, pit in enumerate(visit.pits):
        where = f"/pits/{index}"
        for name in protocol.required_on_pit:
            if getattr(pit, name) is None:
                faults.add(
                    f"{where}/{name}",
                    "field-required-by-protocol",
                    f"{protocol.name} asks for {name}.",
                )
        if (pit.latitude is None) != (pit.longitude is None):
            faults.add(
                f"{where}/longitude",
                "position-half",
                "A pit's position needs latitude and longitude.",
            )
        _match_phases(pit, protocol, where, faults)


def _match_phases(pit: PitIn, protocol: Protocol, where: str, faults: _Faults) -> None:
    performed = [rule.kind.value for rule in protocol.phases if rule.performed]
    sent = [phase.kind.value for phase in pit.phases]
    for index, phase in enumerate(pit.phases):
        at = f"{where}/phases/{index}"
        if phase.kind.value not in performed or sent.index(phase.kind.value) != index:
            faults.add(
                f"{at}/kind",
                "phase-not-in-protocol",
                f"{protocol.name} has each of its steps once.",
                received=phase.kind.value,
                allowed=", ".join(performed),
            )
        _match_pouring(phase, at, faults)
        _match_lines(phase, protocol, at, faults)


def _match_pouring(phase: PhaseIn, at: str, faults: _Faults) -> None:
    poured = phase.agent or phase.volume_ml is not None or phase.wait_min is not None
    if poured and phase.done is not True:
        faults.add(
            f"{at}/done",
            "phase-details-without-step",
            "Agent, volume and waiting time belong to a step that was done.",
            received=phase.done,
            allowed="true",
        )
    counted = any(isinstance(count.number, int) for count in phase.counts)
    if phase.done is False and counted:
        faults.add(
            f"{at}/counts",
            "counts-without-step",
            "The step was not done, so nothing can have been counted in it.",
            allowed="'not_looked_for', or no counts",
        )


def _match_lines(phase: PhaseIn, protocol: Protocol, at: str, faults: _Faults) -> None:
    known = protocol.category_keys()
    seen = set()
    for index, count in enumerate(phase.counts):
        key = (count.group.value, count.stage.value, count.taxon)
        if key not in known:
            faults.add(
                f"{at}/counts/{index}",
                "line-not-in-protocol",
                f"{protocol.name} does not count this group, stage and taxon.",
                received=" ".join(filter(None, key)),
                allowed="; ".join(sorted(" ".join(filter(None, line)) for line in known)),
            )
        if key in seen:
            faults.add(
                f"{at}/counts/{index}",
                "line-twice",
                "The same line stands twice in one step.",
                received=" ".join(filter(None, key)),
            )
        seen.add(key)
