"""Which zeros are absences, and which are only the zero of one line.

A name is absent from an event if every line that could hold an animal of it was counted and is
zero. The zero of a group or stage beside animals of the same taxon is a number, no absence.
Publication judges each step once and keeps the answer on the row, so that a line whose meaning a
sibling changes is a changed record.
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


def judge(edition: Edition, counts: Sequence[PublishedCount]) -> None:
    """Set on each line of a step whether its animals are present, absent, or neither is said."""
    absent = absent_names(edition, counts)
    for count in counts:
        if count.number:
            count.occurrence_status = "present"
        elif count.state == "counted" and identification_of(edition, count).name in absent:
            count.occurrence_status = "absent"
        else:
            count.occurrence_status = None


def occurrences_of(step: StepTree) -> list[PublishedCount]:
    """Return the lines of a step that found animals, and the zeros that are absences."""
    return [count for count in step.counts if count.occurrence_status]


def zeros_beside_finds(step: StepTree) -> list[PublishedCount]:
    """Return the zeros of a step that are no absence of their taxon."""
    return [
        count for count in step.counts if count.state == "counted" and not count.occurrence_status
    ]


def _may_hold(count: PublishedCount, own_name: str, name: str) -> bool:
    """Tell whether an animal of a name could stand on a line, by its own or a wider name."""
    return (
        count.coarse_taxon in {own_name, name}
        or own_name == name
        or own_name.startswith(f"{name} ")
        or name.startswith(f"{own_name} ")
    )
