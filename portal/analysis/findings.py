"""Put the questions to a release."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from portal.analysis.questions import DEEP_ANIMALS, QUESTIONS, TILLAGE, Question
from portal.records.models import PublishedCount, Release
from portal.records.summaries import comparable_kits, tallied
from portal.statistics.contrasts import Comparison, compare_sides
from portal.statistics.density import Density, pooled_density
from portal.statistics.samples import PitSample
from portal.statistics.sides import words_of
from portal.statistics.tallies import SORTED_ONLY, PitTally, Tallies


@dataclass(frozen=True)
class Answered:
    """A question with one comparison for each kit and steps, and pits left out by reason."""

    question: Question
    comparisons: tuple[Comparison, ...]
    left_out: dict[str, int]


@dataclass(frozen=True)
class DeepAnimals:
    """Deep-burrowing adults of one kind of ground and kit.

    Parameters
    ----------
    ground, kit, steps : str
        Habitat with its tillage, and how the pits were dug and sorted.
    n_pits, n_without : int
        Pits, and pits in which none was found.
    density : Density or None
        None where nothing was poured: such pits say nothing.
    """

    ground: str
    kit: str
    steps: str
    n_pits: int
    n_without: int | None
    density: Density | None

    @property
    def sentence(self) -> str:
        """Return the figure in plain words."""
        if self.density is None:
            pits = f"{self.n_pits} pit{' says' if self.n_pits == 1 else 's say'}"
            return f"{self.ground}: {pits} nothing, as nothing was poured."
        return (
            f"{self.ground}: {self.density.per_m2:.1f} per m2 (95 % interval "
            f"{self.density.lower_per_m2:.1f} to {self.density.upper_per_m2:.1f}), none in "
            f"{self.n_without} of {self.n_pits} pits."
        )


def answers_of(release: Release) -> tuple[Answered, ...]:
    """Return every question with its findings in a release."""
    return tuple(_answered(question, release) for question in QUESTIONS)


def deep_animals_of(release: Release) -> tuple[DeepAnimals, ...]:
    """Return deep-burrowing adults by kind of ground, for each kit and steps apart."""
    groups: dict[tuple[str, str, str], list[PitTally]] = defaultdict(list)
    for pit in _tallies(release, DEEP_ANIMALS).pits:
        groups[pit.steps, pit.kit, _ground(pit)].append(pit)
    drenched_first = sorted(groups, key=lambda key: (key[0] == SORTED_ONLY, *key[1:]))
    return tuple(_deep(ground, groups[steps, kit, ground]) for steps, kit, ground in drenched_first)


def _answered(question: Question, release: Release) -> Answered:
    tallies = _tallies(release, question.only)
    answer = compare_sides(tallies.pits, question.contrast)
    return Answered(question, answer.comparisons, tallies.left_out | answer.left_out)


def _tallies(release: Release, only: Mapping[str, tuple[str, ...]]) -> Tallies:
    rows = PublishedCount.objects.at(release.number)
    rows = rows.filter(**{f"{column}__in": words for column, words in only.items()})
    return tallied(rows, comparable_kits(release.protocols))


def _ground(pit: PitTally) -> str:
    tillage = [word for word in words_of(pit.traits, "management") if word in TILLAGE]
    return ", ".join([pit.traits["habitat"], *tillage])


def _deep(ground: str, pits: list[PitTally]) -> DeepAnimals:
    first = pits[0]
    if first.steps == SORTED_ONLY:
        return DeepAnimals(ground, first.kit, first.steps, len(pits), None, None)
    counts = tuple(pit.number for pit in pits)
    density = pooled_density(PitSample(ground, counts, tuple(pit.area_m2 for pit in pits)))
    return DeepAnimals(ground, first.kit, first.steps, len(pits), counts.count(0), density)
