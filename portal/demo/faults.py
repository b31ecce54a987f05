"""Mistakes planted in fixed visits after everything is drawn, and what must catch each of them."""

from collections.abc import Callable
from copy import deepcopy
from dataclasses import dataclass
from typing import Literal

from portal.demo.payloads import Payload, found_in
from portal.demo.region import GROUPS

Spoil = Callable[[Payload], None]
Outcome = Literal["blocked", "held", "noted", "fine"]


@dataclass(frozen=True)
class Planted:
    """A mistake: how it is made, which codes the intake must answer, and what follows.

    ``blocked``: not stored, mended and sent again; ``held``: stored, asked back for ``reason``
    and corrected; ``noted``: stored and accepted; ``fine``: looks odd and is right. ``mend``
    changes the drawn visit where the true one differs from it.
    """

    kind: str
    outcome: Outcome
    caught_by: tuple[str, ...]
    spoil: Spoil
    reason: str = ""
    mend: Spoil | None = None

    def spoiled(self, payload: Payload) -> Payload:
        """Return the visit as first sent."""
        return _changed(payload, self.spoil)

    def mended(self, payload: Payload) -> Payload:
        """Return the visit as it should have been sent."""
        if self.outcome in {"noted", "fine"}:
            return self.spoiled(payload)
        return payload if self.mend is None else _changed(payload, self.mend)


def _changed(payload: Payload, change: Spoil) -> Payload:
    copy = deepcopy(payload)
    change(copy)
    return copy


def _at_new_place(
    payload: Payload, latitude: float, longitude: float, *, keeps_pits: bool = False
) -> None:
    """Put the visit at a place of its own; a stored site cannot be moved by the way."""
    payload["site"] |= {
        "code": f"{payload['site']['code']}.{payload['client_ref']}",
        "latitude": latitude,
        "longitude": longitude,
    }
    if not keeps_pits:
        for pit in payload["pits"]:
            pit |= {"latitude": None, "longitude": None}


def _axes_swapped(payload: Payload) -> None:
    site = payload["site"]
    _at_new_place(payload, site["longitude"], site["latitude"])


def _sign_lost(payload: Payload) -> None:
    site = payload["site"]
    _at_new_place(payload, site["latitude"], -site["longitude"])


def _at_zero(payload: Payload) -> None:
    _at_new_place(payload, 0.0, 0.0)


def _rounded(payload: Payload) -> None:
    site = payload["site"]
    _at_new_place(payload, round(site["latitude"], 1), round(site["longitude"], 1))
    site |= {"uncertainty_m": 5.0, "placed_by_hand": False}


def _at_the_hut(payload: Payload) -> None:
    latitude, longitude = GROUPS["OPL"].meeting_point
    _at_new_place(payload, float(latitude), float(longitude))


def _in_2052(payload: Payload) -> None:
    payload["visited_on"] = "2052" + payload["visited_on"][4:]


def _day_for_month(payload: Payload) -> None:
    year, month, day = payload["visited_on"].split("-")
    payload["visited_on"] = f"{year}-{day}-{month}"


def _before_the_kit(payload: Payload) -> None:
    payload["visited_on"] = "2024-08-17"


def _unchanged(payload: Payload) -> None:
    pass


def _juveniles(number: int) -> Spoil:
    def change(payload: Payload) -> None:
        pit = payload["pits"][0]
        line = next(c for c in pit["phases"][0]["counts"] if c["stage"] == "juvenile")
        line["number"] = number
        pit["total"] = found_in(pit)

    return change


def _total_off(payload: Payload) -> None:
    payload["pits"][0]["total"] += 3


def _twenty_metres(payload: Payload) -> None:
    payload["pits"][0]["depth_cm"] = 2000


def _blank(payload: Payload) -> None:
    _every_count(payload, None)


def _empty_unconfirmed(payload: Payload) -> None:
    _every_count(payload, 0)
    for pit in payload["pits"]:
        pit["sorted_to_end"] = None


def _empty_confirmed(payload: Payload) -> None:
    _every_count(payload, 0)
    for pit in payload["pits"]:
        pit["sorted_to_end"] = True


def _every_count(payload: Payload, number: int | None) -> None:
    for pit in payload["pits"]:
        pit["total"] = number
        for phase in pit["phases"]:
            for count in phase["counts"]:
                count["number"] = number


def _note(text: str) -> Spoil:
    def change(payload: Payload) -> None:
        payload["note"] = text

    return change


def _with_photo(payload: Payload) -> None:
    payload["photos"] = [
        {"file": "pit-with-child.jpg", "latitude": payload["site"]["latitude"], "faces": 1}
    ]


def _other_habitat(payload: Payload) -> None:
    pit = payload["pits"][0]
    pit["habitat"] = "rough grass" if pit["habitat"] == "lawn" else "lawn"


def _decimal_comma(payload: Payload) -> None:
    payload["pits"][0]["width_cm"] = "20,0"


REGION = "validation-site-in-region"
DEFAULTS = "validation-position-not-placeholder"
WINDOW = "validation-visitdate-window"
TEXT_OF_MANY_SCRIPTS = "Lovely morning \N{HERB} \u05d1\u05d5\u05e7\u05e8 \u05d8\u05d5\u05d1"

PLANTED: dict[str, Planted] = {
    "OPL-A03": Planted(
        "place", "held", (REGION, "amendment-position-transposed"), _axes_swapped, "check-position"
    ),
    "QVD-S05": Planted(
        "place", "held", (REGION, "amendment-position-sign"), _sign_lost, "check-position"
    ),
    "BSC-A02": Planted("place", "held", (REGION, DEFAULTS), _at_zero, "check-position"),
    "VFR-A09": Planted(
        "place", "held", ("validation-position-accuracy",), _rounded, "check-position"
    ),
    "OPL-S14": Planted("place", "held", (DEFAULTS,), _at_the_hut, "check-position"),
    "OPL-S15": Planted("place", "held", (DEFAULTS,), _at_the_hut, "check-position"),
    "OPL-S16": Planted("place", "held", (DEFAULTS,), _at_the_hut, "check-position"),
    "OPL-S17": Planted("place", "held", (DEFAULTS,), _at_the_hut, "check-position"),
    "VFR-S02": Planted("time", "blocked", (WINDOW,), _in_2052),
    "QVD-S09": Planted(
        "time", "blocked", (WINDOW, "amendment-visitdate-transposed"), _day_for_month
    ),
    "OPL-A15": Planted("time", "blocked", (WINDOW,), _before_the_kit),
    "OPL-S20": Planted("time", "noted", ("validation-submission-timely",), _unchanged),
    "VFR-S06": Planted(
        "number",
        "held",
        ("validation-counts-likely",),
        _juveniles(450),
        "check-number",
        mend=_juveniles(45),
    ),
    "OPL-S07": Planted(
        "number", "held", ("validation-counts-sumconsistent",), _total_off, "check-number"
    ),
    "QVD-S12": Planted("number", "blocked", ("number-out-of-range",), _twenty_metres),
    "QVD-A08": Planted("number", "held", ("validation-counts-notempty",), _blank, "confirm-empty"),
    "BSC-A04": Planted(
        "number",
        "held",
        ("validation-zeropit-confirmed",),
        _empty_unconfirmed,
        "confirm-empty",
        mend=_empty_confirmed,
    ),
    "VFR-A04": Planted("number", "fine", (), _empty_confirmed),
    "OPL-A07": Planted(
        "privacy",
        "held",
        ("issue-personal-data-in-text",),
        _note("Ring me on 01632 960417 if the numbers look odd."),  # kept free for fiction
        "remove-personal-data",
    ),
    "QVD-S15": Planted("privacy", "blocked", ("field-unknown",), _with_photo),
    "BSC-S03": Planted(
        "privacy",
        "held",
        ("issue-personal-data-in-text",),
        _note("Ottalie found the longest one of all."),
        "remove-personal-data",
    ),
    "VFR-S11": Planted(
        "privacy",
        "held",
        ("issue-place-name-in-text",),
        _note("Dug at the dry end of Sallowmere Piece."),
        "remove-personal-data",
    ),
    "QVD-A02": Planted("review", "fine", (), _other_habitat),
    "OPL-S09": Planted(
        "text",
        "blocked",
        ("text-control-character",),
        _note(TEXT_OF_MANY_SCRIPTS + "\N{NULL}"),
        mend=_note(TEXT_OF_MANY_SCRIPTS),
    ),
    "QVD-A14": Planted("text", "blocked", ("number-decimal-comma",), _decimal_comma),
    "VFR-A15": Planted("text", "noted", ("issue-text-formula",), _note("=1+1")),
}
UNANSWERED = frozenset({"OPL-S16"})  # asked back, and no correction ever came
