"""The shape of a trial of the measuring, as a partner group sends it."""

from datetime import date

from pydantic import Field

from surveys.calibration.models import TrialKind
from surveys.intake.payload import Code, CountNumber, Part, Ref
from surveys.protocol.vocabulary import EcologicalGroup, LifeStage, PhaseKind


class TrialLineIn(Part):
    """One group and stage."""

    group: EcologicalGroup
    stage: LifeStage
    known: CountNumber = Field(description="Put in, or found by the first observer.")
    observed: CountNumber = Field(description="Found by the observer who is tried.")


class TrialIn(Part):
    """One trial of one observer in one step of a protocol."""

    client_ref: Ref = Field(description="The group's own reference, unique among its trials.")
    kind: TrialKind
    protocol: str = Field(description="Key and version, such as 'contrast-pit/2'.", max_length=70)
    step: PhaseKind
    observer: Code = Field(description="The group's own code of the participant.")
    first_observer: Code | None = Field(
        None, description="Who sorted the same material before; only with two observers."
    )
    held_on: date
    lines: list[TrialLineIn] = Field(min_length=1, max_length=60)
