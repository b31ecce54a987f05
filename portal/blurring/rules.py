"""The settings a release is made with; every release stores the ones it used."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields
from typing import Any, Final, Self

from portal.blurring.grid import ALLOWANCES_M, FINEST_LEVEL, STEPS_DEG

# Habitat and management give the class of a place away, so each is grouped by itself.
PLACE_CLASSES: Final = {
    "private_garden": "household",
    "allotment": "household",
    "other": "household",
    "farm": "farm",
    "school_ground": "school",
    "public_green": "public_land",
    "reserve": "public_land",
}
_INSTITUTIONS = frozenset({"school", "public_land"})
DAY: Final = "day"
MONTH: Final = "month"


class RulesError(ValueError):
    """Settings that do not hold together, or a term that they do not know."""


def place_class(place_kind: str) -> str:
    """Return the class within which places of a kind are grouped.

    Raises
    ------
    RulesError
        If the place kind is not known.
    """
    if place_kind not in PLACE_CLASSES:
        message = f"Place kind must be one of {', '.join(PLACE_CLASSES)}, not {place_kind!r}."
        raise RulesError(message)
    return PLACE_CLASSES[place_kind]


def _place_floors() -> dict[str, int]:
    return {
        "private_garden": 4,
        "allotment": 4,
        "other": 4,
        "farm": 3,
        "school_ground": 3,
        "public_green": 5,
        "reserve": 5,
    }


def _consent_floors() -> dict[str, int]:
    return {"fine": 5, "standard": 4, "coarse": 3, "region": 1, "no_coordinates": 0}


def _taxon_floors() -> dict[int, int]:
    return {4: 5, 3: 4, 2: 3, 1: 0}


def _date_precisions() -> dict[str, str]:
    return dict.fromkeys(PLACE_CLASSES, DAY) | {"school_ground": MONTH}


@dataclass(frozen=True)
class GeneralisationRules:
    """How many units a group needs, and the finest level each circumstance allows.

    Parameters
    ----------
    keep_at
        Households or farms a group needs to be shown (k).
    open_at
        Households or farms a finer cell needs to be opened.
    institutions_at
        The same two numbers for schools and public land.
    place_floors, consent_floors
        Finest level by place kind and by consent, 0 (no coordinates) to 5.
    taxon_floors
        Finest level by sensitivity category, 1 (highest) to 4 (Chapman 2020, doi
        10.15468/doc-5jp4-5g10); a site without a sensitive taxon has no floor from here.
    unknown_uncertainty_m
        The uncertainty assumed where none was recorded [m].
    date_precisions
        Whether a date is published by "day" or "month", by place kind.

    Raises
    ------
    RulesError
        If a number or a level is out of range, or a place kind has no floor or no precision.
    """

    keep_at: int = 3
    open_at: int = 5
    institutions_at: int = 1
    place_floors: Mapping[str, int] = field(default_factory=_place_floors)
    consent_floors: Mapping[str, int] = field(default_factory=_consent_floors)
    taxon_floors: Mapping[int, int] = field(default_factory=_taxon_floors)
    unknown_uncertainty_m: float = 100
    date_precisions: Mapping[str, str] = field(default_factory=_date_precisions)

    def __post_init__(self) -> None:
        if not 1 <= self.keep_at <= self.open_at or self.institutions_at < 1:
            message = "Needed: 1 <= keep_at <= open_at and 1 <= institutions_at."
            raise RulesError(message)
        if set(self.place_floors) != set(PLACE_CLASSES):
            message = f"Needed: one place floor for each of {', '.join(PLACE_CLASSES)}."
            raise RulesError(message)
        floors = (self.place_floors, self.consent_floors, self.taxon_floors)
        if any(not 0 <= level <= FINEST_LEVEL for table in floors for level in table.values()):
            message = f"Needed: floors from 0 to {FINEST_LEVEL}."
            raise RulesError(message)
        self._check_the_rest()

    def _check_the_rest(self) -> None:
        if not self.unknown_uncertainty_m > 0:
            message = "Needed: an unknown uncertainty above 0 m."
            raise RulesError(message)
        precisions = self.date_precisions
        if set(precisions) != set(PLACE_CLASSES) or not {DAY, MONTH} >= set(precisions.values()):
            message = f"Needed: {DAY} or {MONTH} for each of {', '.join(PLACE_CLASSES)}."
            raise RulesError(message)

    def units_to_show(self, place_class: str) -> int:
        """Return the units a group of a place class needs to be shown."""
        return self.institutions_at if place_class in _INSTITUTIONS else self.keep_at

    def units_to_open(self, place_class: str) -> int:
        """Return the units a cell needs to be opened for a place class."""
        return self.institutions_at if place_class in _INSTITUTIONS else self.open_at

    def as_dict(self) -> dict[str, Any]:
        """Return the rules, and the grid they go with, as JSON can hold them."""
        taxon_floors = {str(category): level for category, level in self.taxon_floors.items()}
        return asdict(self) | {"taxon_floors": taxon_floors, "grid": _grid()}

    @classmethod
    def from_dict(cls, stored: Mapping[str, Any]) -> Self:
        """Return the rules that `as_dict` gave, to recompute or audit a release.

        What a release notes beside them is passed over.

        Raises
        ------
        RulesError
            If the release was made on another grid than today's.
        """
        if stored["grid"] != _grid():
            message = "The stored rules go with another grid; use the program of that release."
            raise RulesError(message)
        known = {rule.name for rule in fields(cls)}
        settings = {name: value for name, value in stored.items() if name in known}
        settings["taxon_floors"] = {int(key): n for key, n in stored["taxon_floors"].items()}
        return cls(**settings)


def _grid() -> dict[str, dict[str, str | int]]:
    return {
        str(level): {"step_deg": str(step), "allowance_m": ALLOWANCES_M[level]}
        for level, step in STEPS_DEG.items()
    }
