"""Counts of pits and the areas they were dug from: what every statistic here starts with."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

CM2_PER_M2 = 10_000


def area_m2(width_cm: float, length_cm: float) -> float:
    """Return the area of a rectangular pit.

    Parameters
    ----------
    width_cm, length_cm : float
        Inner sides of the pit [cm], above 0.

    Returns
    -------
    float
        Area [m2]; 20 cm by 20 cm is 0.04 m2.

    Raises
    ------
    ValueError
        If a side is not above 0.
    """
    if width_cm <= 0 or length_cm <= 0:
        message = f"Both sides of a pit must be above 0 cm, got {width_cm} and {length_cm}."
        raise ValueError(message)
    return float(width_cm) * float(length_cm) / CM2_PER_M2


def pooled_per_m2(amounts: Sequence[float], areas_m2: Sequence[float]) -> float:
    """Return an amount per square metre over several pits: ratio of sums, not mean of ratios.

    The mean of the densities gives a small pit the weight of a large one, so it is wrong as soon
    as areas differ (Cochran 1977, Sampling Techniques, 3rd ed., chapter 6: ratio estimation).

    Parameters
    ----------
    amounts : sequence of float
        What each pit held: animals, or mass [g].
    areas_m2 : sequence of float
        Area of each pit [m2], same order.

    Returns
    -------
    float
        Amount per area [1/m2 or g/m2].

    Raises
    ------
    ValueError
        If there is no pit, the lengths differ, or an area is not above 0.
    """
    if not areas_m2 or len(amounts) != len(areas_m2):
        message = f"Each pit needs an area, got {len(amounts)} pits and {len(areas_m2)} areas."
        raise ValueError(message)
    if min(areas_m2) <= 0:
        message = f"Every area must be above 0 m2, got {min(areas_m2)}."
        raise ValueError(message)
    return sum(amounts) / sum(areas_m2)


@dataclass(frozen=True)
class PitSample:
    """Pits of one kind, dug in one way: hand sorting and drenching are never pooled.

    Parameters
    ----------
    name : str
        What the pits have in common, in words for a sentence ("lawn").
    counts : tuple of int
        Animals found in each pit; a pit that was not counted is left out, never 0.
    areas_m2 : tuple of float
        Area of each pit [m2], same order.
    """

    name: str
    counts: tuple[int, ...]
    areas_m2: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse what cannot be counted.

        Raises
        ------
        ValueError
            If there is no pit, an area is missing or not above 0, or a count is not a whole
            number of 0 or more.
        """
        pooled_per_m2(self.counts, self.areas_m2)
        for count in self.counts:
            if count != int(count) or count < 0:
                message = f"A count is a whole number of 0 or more, got {count}."
                raise ValueError(message)

    @property
    def repeats(self) -> tuple[int, ...]:
        """Return how many pits each count and area is of: one."""
        return (1,) * len(self.counts)

    @property
    def n_pits(self) -> int:
        """Return the number of pits."""
        return len(self.counts)

    @property
    def total_count(self) -> int:
        """Return the animals of all pits."""
        return sum(self.counts)

    @property
    def total_area_m2(self) -> float:
        """Return the area of all pits [m2]."""
        return sum(self.areas_m2)

    @property
    def per_m2(self) -> float:
        """Return the pooled density [1/m2]."""
        return pooled_per_m2(self.counts, self.areas_m2)


@dataclass(frozen=True)
class AlikePits:
    """Pits of one kind, those of equal count and area taken together, as for a `PitSample`.

    There are few different ones however many pits there are, and what is computed from them does
    not depend on an order of pits, not even in its last digit.

    Parameters
    ----------
    name : str
        What the pits have in common, in words for a sentence.
    numbers : mapping
        How many pits have each count and area [m2]; at least one pit.
    """

    name: str
    numbers: Mapping[tuple[int, float], int]
    counts: tuple[int, ...] = field(init=False)
    areas_m2: tuple[float, ...] = field(init=False)
    repeats: tuple[int, ...] = field(init=False)

    def __post_init__(self) -> None:
        """Put the different pits in order, and refuse what cannot be counted.

        Raises
        ------
        ValueError
            As for a `PitSample`.
        """
        ordered = sorted(self.numbers.items())
        kinds = PitSample(
            self.name,
            tuple(count for (count, _), _ in ordered),
            tuple(area for (_, area), _ in ordered),
        )
        object.__setattr__(self, "counts", kinds.counts)
        object.__setattr__(self, "areas_m2", kinds.areas_m2)
        object.__setattr__(self, "repeats", tuple(repeat for _, repeat in ordered))

    @property
    def n_pits(self) -> int:
        """Return the number of pits."""
        return sum(self.repeats)

    @property
    def total_count(self) -> int:
        """Return the animals of all pits."""
        return sum(n * count for count, n in zip(self.counts, self.repeats, strict=True))

    @property
    def total_area_m2(self) -> float:
        """Return the area of all pits [m2]."""
        return sum(n * area for area, n in zip(self.areas_m2, self.repeats, strict=True))

    @property
    def per_m2(self) -> float:
        """Return the pooled density [1/m2]."""
        return self.total_count / self.total_area_m2


Sample = PitSample | AlikePits
