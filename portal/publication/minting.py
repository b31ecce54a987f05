"""Give private rows their random public ids, once and for all."""

from collections.abc import Callable
from uuid import UUID, uuid4

from django.db.models import QuerySet

from surveys.sites.models import Site
from surveys.visits.models import Count, Phase, Pit, Visit

Mint = Callable[[str], UUID]


def random_id(_key: str) -> UUID:
    """Return a random id; the key is only for demonstrations that must repeat."""
    return uuid4()


def mint_ids(visit: Visit, mint: Mint) -> None:
    """Give a visit, its site, pits, steps and counts the ids that they lack."""
    # A place published anew has other ids than before, also where they follow from the key.
    again = f" {visit.site.place_number}" if visit.site.place_number > 1 else ""
    key = f"{visit.group.code}/{visit.client_ref}{again}"
    _give(visit, f"visit {key}", mint)
    _give(visit.site, f"site {visit.group.code}/{visit.site.code}{again}", mint)
    for pit in visit.pits.all():
        if pit.revision != visit.revision:
            continue
        _give(pit, f"pit {key} {pit.number}", mint)
        for phase in pit.phases.all():
            where = f"{key} {pit.number} {phase.kind}"
            _give(phase, f"phase {where}", mint)
            for count in phase.counts.all():
                _give(count, f"count {where} {count.group} {count.stage} {count.taxon}", mint)


def _give(row: Visit | Site | Pit | Phase | Count, key: str, mint: Mint) -> None:
    if row.public_id is None:
        row.public_id = mint(key)
        row.save(update_fields=["public_id"])


def forget_ids(visits: QuerySet[Visit]) -> None:
    """Take the ids of visits and their parts back, to be given others at the next release."""
    for model, where in (
        (Count, "phase__pit__visit__in"),
        (Phase, "pit__visit__in"),
        (Pit, "visit__in"),
        (Visit, "pk__in"),
    ):
        model._default_manager.filter(**{where: visits.values("pk")}).update(public_id=None)
