"""Ecological group of an earthworm from colour and length, and doubts about a recorded group.

The three groups are poles, not species: Bouche 1972, Lombriciens de France, and 1977, Strategies
lombriciennes. Bottinelli et al. 2020, Geoderma 372:114361, found pigmentation, length and
colouration to weigh most; Bottinelli and Capowiez 2021, Biology and Fertility of Soils 57:329,
warn that the groups are not functional groups. The 150 mm limit is common practice, no source,
and known to fail: adult *Aporrectodea longa* is 90 to 150 mm, and every young deep-burrower is
shorter. So pigmented worms of 80 to 150 mm, and pigmented juveniles, are marked doubtful.
"""

from dataclasses import dataclass

ANECIC_FROM_MM = 151  # common practice, no source; known to fail, see above
OVERLAP_FROM_MM = 80  # adult Aporrectodea longa and Lumbricus rubellus share 80 to 150 mm


@dataclass(frozen=True)
class Worm:
    """What was seen of one earthworm, in the words of the counting form.

    Parameters
    ----------
    pigment : str
        "pale", "striped", "pigmented" (red or dark) or "unknown".
    stage : str
        "adult" (saddle present), "subadult" (pads, no full saddle), "juvenile" or "egg".
    length_mm : int or None
        Length in whole millimetres [mm]; None when not measured.
    has_saddle : bool or None
        Whether the saddle was seen; None when not noted.
    """

    pigment: str
    stage: str
    length_mm: int | None = None
    has_saddle: bool | None = None


@dataclass(frozen=True)
class Assignment:
    """Group that the key gives.

    Parameters
    ----------
    group : str
        "epigeic", "endogeic", "anecic" or "unassigned".
    certainty : str
        "usual", "doubtful", or "none" when no group is given.
    band : str
        Name of the band in which the key is known to fail; empty outside them.
    explanation : str
        What decided, in plain words.
    """

    group: str
    certainty: str
    band: str
    explanation: str


@dataclass(frozen=True)
class Doubt:
    """A reason to ask again about a recorded group or stage; it never refuses a record."""

    name: str
    explanation: str


@dataclass(frozen=True)
class _Rule:
    """A doubt with the conditions that must all hold; None stands for any. Limits included."""

    name: str
    explanation: str
    pigment: str | None = None
    from_mm: int | None = None
    to_mm: int | None = None
    stage: str | None = None
    groups: tuple[str, ...] = ()
    has_saddle: bool | None = None

    def holds(self, worm: Worm, group: str) -> bool:
        """Tell whether every condition of the rule is met."""
        return (
            self.pigment in {None, worm.pigment}
            and self.stage in {None, worm.stage}
            and self.has_saddle in {None, worm.has_saddle}
            and (not self.groups or group in self.groups)
            and self._length_fits(worm.length_mm)
        )

    def _length_fits(self, length_mm: int | None) -> bool:
        if self.from_mm is None and self.to_mm is None:
            return True
        if length_mm is None:
            return False
        return (self.from_mm or 0) <= length_mm <= (self.to_mm or length_mm)


BANDS = {
    "overlap": (
        "overlap band of 80 to 150 mm: litter-dwellers and deep-burrowers both occur; "
        "look at tail shape and head colour"
    ),
    "young": "a pigmented juvenile may be a young deep-burrower; unassigned is a good answer",
}
SURFACE_OR_DEEP = ("epigeic", "anecic")
# Limits derived from adult length ranges of 37 Lumbricidae, many of them from memory
DOUBTS = (
    _Rule("overlap", BANDS["overlap"], "pigmented", OVERLAP_FROM_MM, 150, None, SURFACE_OR_DEEP),
    _Rule("young", BANDS["young"], "pigmented", None, 150, "juvenile", SURFACE_OR_DEEP),
    _Rule(
        "adult without saddle",
        "adult means that the saddle is present",
        stage="adult",
        has_saddle=False,
    ),
    _Rule(
        "juvenile with saddle",
        "a worm with a saddle is an adult",
        stage="juvenile",
        has_saddle=True,
    ),
    _Rule(
        "subadult with saddle",
        "subadult means pads or swellings but no complete saddle; if unsure record juvenile",
        stage="subadult",
        has_saddle=True,
    ),
    _Rule(
        "long endogeic",
        "pale and over 180 mm is longer than any known soil-feeder here",
        "pale",
        from_mm=181,
        groups=("endogeic",),
    ),
    _Rule(
        "short anecic",
        "an adult deep-burrower under 90 mm is shorter than any known here",
        "pigmented",
        to_mm=89,
        stage="adult",
        groups=("anecic",),
    ),
    _Rule(
        "long epigeic",
        "an adult litter-dweller over 150 mm is longer than any known here",
        "pigmented",
        from_mm=ANECIC_FROM_MM,
        stage="adult",
        groups=("epigeic",),
    ),
    _Rule("pale epigeic", "a pale worm filed as litter-dweller", "pale", groups=("epigeic",)),
    _Rule("pale anecic", "a pale worm filed as deep-burrower", "pale", groups=("anecic",)),
    _Rule(
        "pigmented endogeic",
        "a red or dark worm filed as soil-feeder",
        "pigmented",
        groups=("endogeic",),
    ),
    _Rule(
        "very long",
        "longer than 350 mm: check the unit (cm or mm) and stretching",
        from_mm=351,
    ),
    _Rule(
        "very short",
        "shorter than 10 mm: may be a potworm (Enchytraeidae) or a hatchling",  # our judgement
        to_mm=9,
    ),
)


def assign_group(worm: Worm) -> Assignment:
    """Return the group that colour and length point to.

    Parameters
    ----------
    worm : Worm
        What was seen; without colour no group is guessed, nor for a pigmented worm without
        length, nor for an egg.

    Returns
    -------
    Assignment
        Group, certainty and, where the key is known to fail, the name of the band.

    Raises
    ------
    ValueError
        If the pigment is none of the four words.
    """
    if worm.stage == "egg":
        return Assignment("unassigned", "none", "", "an egg shows no group")
    by_colour = {
        "pale": Assignment("endogeic", "usual", "", "no red or dark pigment"),
        "striped": Assignment("epigeic", "usual", "", "clear colour bands"),
        "unknown": Assignment("unassigned", "none", "", "no colour noted"),
    }
    if worm.pigment in by_colour:
        return by_colour[worm.pigment]
    if worm.pigment != "pigmented":
        message = f"Pigment is pale, striped, pigmented or unknown, got {worm.pigment!r}."
        raise ValueError(message)
    return _by_length(worm)


def doubts(worm: Worm, recorded_group: str) -> tuple[Doubt, ...]:
    """Return the reasons to ask again about a recorded worm.

    Parameters
    ----------
    worm : Worm
        What was seen.
    recorded_group : str
        Group written by the recorder.

    Returns
    -------
    tuple of Doubt
        Empty when nothing speaks against the record.
    """
    return tuple(
        Doubt(rule.name, rule.explanation) for rule in DOUBTS if rule.holds(worm, recorded_group)
    )


def _by_length(worm: Worm) -> Assignment:
    """Return the group of a pigmented worm."""
    if worm.length_mm is None:
        return Assignment("unassigned", "none", "", "pigmented, but no length noted")
    if worm.length_mm >= ANECIC_FROM_MM:
        return Assignment("anecic", "usual", "", "pigmented and longer than 150 mm")
    if worm.stage == "juvenile":
        return Assignment("epigeic", "doubtful", "young", BANDS["young"])
    if worm.length_mm >= OVERLAP_FROM_MM:
        return Assignment("epigeic", "doubtful", "overlap", BANDS["overlap"])
    return Assignment("epigeic", "usual", "", "pigmented and shorter than 80 mm")
