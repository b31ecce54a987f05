"""Mass of earthworms from their length: ln(mass) = a + b ln(length), always with its caution.

A live worm stretches, so a length goes with its state, and lengths of different states are never
put through one equation.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

PRESERVED = "preserved"
LIVE = "live"
NOT_STATED = "as measured in that study"
LENGTH_STATES = (PRESERVED, LIVE)
PREPRINT = (
    "Length-weight relationships of invasive exotic earthworms in the Huron Mountains forests, "
    "Michigan, preprint rs-5620138 (2024)"
)
PREPRINT_CAUTION = (
    "not peer reviewed when read, multiplier printed to one digit (tens of percent error): "
    "a sanity check only"
)


@dataclass(frozen=True)
class Equation:
    """An allometric equation.

    Parameters
    ----------
    applies_to : str
        Animals it was fitted to.
    a, b : float
        Intercept and slope of ln(mass [g]) on ln(length [mm]).
    mass_kind : str
        "ash-free dry mass" or "dry mass".
    length_state : str
        State of the worms when measured.
    source, caution : str
        Where it comes from, and how far to trust it.
    """

    applies_to: str
    a: float
    b: float
    mass_kind: str
    length_state: str
    source: str
    caution: str


EQUATIONS = {
    "general lumbricid": Equation(
        applies_to="all groups pooled",
        a=-11.9047,
        b=2.2853,
        mass_kind="ash-free dry mass",
        length_state=PRESERVED,
        source=(
            "Hale, Reich and Frelich 2004, Allometric equations for estimation of ash-free dry "
            "mass from length measurements for selected European earthworm species (Lumbricidae) "
            "in the western Great Lakes region, American Midland Naturalist 151:179-185"
        ),
        caution="coefficients read from a methods page that quotes them; table itself not seen",
    ),
    "Dendrobaena octaedra": Equation(
        applies_to="Dendrobaena octaedra",
        a=math.log(1e-5),
        b=2.135,
        mass_kind="dry mass",
        length_state=NOT_STATED,
        source=PREPRINT,
        caution=PREPRINT_CAUTION,
    ),
    "Aporrectodea longa": Equation(
        applies_to="Aporrectodea longa",
        a=math.log(1e-6),
        b=2.816,
        mass_kind="dry mass",
        length_state=NOT_STATED,
        source=PREPRINT,
        caution=PREPRINT_CAUTION,
    ),
    "Lumbricus terrestris": Equation(
        applies_to="Lumbricus terrestris",
        a=math.log(3e-6),
        b=2.618,
        mass_kind="dry mass",
        length_state=NOT_STATED,
        source=PREPRINT,
        caution=PREPRINT_CAUTION,
    ),
}


@dataclass(frozen=True)
class MassEstimate:
    """Mass of worms estimated from their lengths.

    Parameters
    ----------
    n_worms : int
        Worms measured.
    mass_g : float
        Their mass together [g], of the kind the equation gives.
    length_state : str
        State in which they were measured.
    equation : Equation
        Kind of mass, source and caution; to be shown with the figure.
    """

    n_worms: int
    mass_g: float
    length_state: str
    equation: Equation


def estimate_mass(lengths_mm: Sequence[float], equation_id: str, length_state: str) -> MassEstimate:
    """Return the mass of worms of one state from their lengths.

    Parameters
    ----------
    lengths_mm : sequence of float
        Length of each worm [mm], above 0.
    equation_id : str
        Key of `EQUATIONS`.
    length_state : str
        "preserved" or "live".

    Returns
    -------
    MassEstimate
        Mass together [g] with equation and caution.

    Raises
    ------
    ValueError
        If the equation or state is unknown, the equation was made for another state, or a
        length is not above 0.
    """
    equation = EQUATIONS.get(equation_id)
    if equation is None:
        message = f"Equations are {', '.join(EQUATIONS)}, got {equation_id!r}."
        raise ValueError(message)
    _check_state(equation, length_state)
    if any(length <= 0 for length in lengths_mm):
        message = f"A length is above 0 mm, got {min(lengths_mm)}."
        raise ValueError(message)
    mass_g = sum(math.exp(equation.a + equation.b * math.log(length)) for length in lengths_mm)
    return MassEstimate(len(lengths_mm), mass_g, length_state, equation)


def _check_state(equation: Equation, length_state: str) -> None:
    """Refuse lengths of a state the equation was not made for.

    Raises
    ------
    ValueError
        If the state is unknown or another one.
    """
    if length_state not in LENGTH_STATES:
        message = f"A length is preserved or live, got {length_state!r}."
        raise ValueError(message)
    if equation.length_state not in {NOT_STATED, length_state}:
        message = (
            f"This equation is for {equation.length_state} worms, got {length_state} lengths: "
            "live worms stretch."
        )
        raise ValueError(message)
