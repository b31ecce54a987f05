"""Which zeros are absences, and which are only the zero of one line.

A name is absent from an event if every line that could hold an animal of it was counted and is
zero. The zero of a group or stage beside animals of the same taxon is a number, no absence.
"""

from collections.abc import Sequence

from portal.archive.edition import Edition, identification_of
from portal.archive.reading import StepTree
from portal.records.models import PublishedCount


def absent_names(edition: Edition, counts: Sequence[PublishedCount]) -> list[str]:
    """Return the names that were looked for and not found, not even as a coarser or finer find."""
    own_names = [identification_of(edition, count).name for count in counts]
    return [
        name
        for name in dict.fromkeys(own_names)
        if all(
            count.number == 0
            for count, own_name in zip(counts, own_names, strict=True)
            if _may_hold(count, own_name, name)
        )
        and all(
            edition.protocol(count.protocol).counts_every_animal
            for count in counts
            if count.coarse_taxon == name
        )
    ]


def occurrences_of(edition: Edition, step: StepTree) -> list[PublishedCount]:
    """Return the lines of a step that found animals, and the zeros that are absences."""
    absent = absent_names(edition, step.counts)
    return [
        count
        for count in step.counts
        if count.number or (_is_zero(count) and identification_of(edition, count).name in absent)
    ]


def zeros_beside_finds(edition: Edition, step: StepTree) -> list[PublishedCount]:
    """Return the zeros of a step that are no absence of their taxon."""
    absent = absent_names(edition, step.counts)
    return [
        count
        for count in step.counts
        if _is_zero(count) and identification_of(edition, count).name not in absent
    ]


def _is_zero(count: PublishedCount) -> bool:
    return count.state == "counted" and count.number == 0


def _may_hold(count: PublishedCount, own_name: str, name: str) -> bool:
    """Tell whether an animal of a name could stand on a line, by its own or a wider name."""
    return (
        count.coarse_taxon in {own_name, name}
        or own_name == name
        or own_name.startswith(f"{name} ")
        or name.startswith(f"{own_name} ")
    )
