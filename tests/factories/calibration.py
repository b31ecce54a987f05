"""One valid row of each table of trials."""

from datetime import date
from typing import Any

from factory import LazyFunction, SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from surveys.calibration.models import CalibrationLine, CalibrationTrial
from tests.factories.private import NOW, ParticipantFactory, loaded


class CalibrationTrialFactory(DjangoModelFactory[CalibrationTrial]):
    """Known numbers put into the soil, sorted by hand."""

    class Meta:
        model = CalibrationTrial

    observer: Any = SubFactory(ParticipantFactory)
    group = SelfAttribute("observer.group")
    client_ref = Sequence(lambda n: f"T{n:02}")
    kind = "known_numbers"
    protocol = LazyFunction(lambda: loaded("contrast-pit/2"))
    step = "hand_sort"
    held_on = date(2025, 4, 12)
    recorded_at = NOW


class CalibrationLineFactory(DjangoModelFactory[CalibrationLine]):
    """Seven of ten deep-burrowing adults found."""

    class Meta:
        model = CalibrationLine

    trial: Any = SubFactory(CalibrationTrialFactory)
    group = "anecic"
    stage = "adult"
    known = 10
    observed = 7
