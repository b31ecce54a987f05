"""Who is credited: groups by agreement, on rows only where that gives no place away."""

from collections import defaultdict
from collections.abc import Iterable

from portal.blurring import Generalisation, GeneralisationRules, is_exact
from portal.publication.placing import class_of, unit_of
from surveys.visits.models import Visit


def credited_groups(visits: Iterable[Visit]) -> list[dict[str, object]]:
    """Return code, name and visits of the contributing groups that agreed to be named."""
    tally: dict[tuple[str, str], int] = defaultdict(int)
    for visit in visits:
        if visit.group.named_publicly:
            tally[visit.group.code, visit.group.name] += 1
    return [
        {"code": code, "name": name, "visits": visits}
        for (code, name), visits in sorted(tally.items())
    ]


def groups_named_on_rows(
    visits: Iterable[Visit], placed: Generalisation, rules: GeneralisationRules
) -> set[int]:
    """Return the groups whose code may stand on rows.

    A group's name can give a place away, so each of its cells must hold k of its own units.
    """
    units: dict[tuple[int, str, str], set[str]] = defaultdict(set)
    agreed = set()
    for visit in visits:
        if visit.group.named_publicly:
            agreed.add(visit.group_id)
        cell = placed.places[str(visit.site_id)].cell
        if is_exact(cell):  # nothing is left for a name to give away
            continue
        units[visit.group_id, class_of(visit.site), cell].add(unit_of(visit.site))
    thin = {group for (group, _, _), found in units.items() if len(found) < rules.keep_at}
    return agreed - thin
