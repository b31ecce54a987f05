"""Where published visits went: the releases that they stood in, and where they stand now."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from portal.personal.receipts import Receipts, receipts_of
from portal.records.models import PublishedVisit, Tombstone
from portal.records.queries import current_release


@dataclass(frozen=True)
class PublicLife:
    """The releases that showed a visit; ``is_current`` and ``is_hidden`` speak of the newest."""

    releases: tuple[int, ...]
    is_current: bool = False
    is_hidden: bool = False
    withdrawn_on: date | None = None
    reason_class: str = ""
    receipts: Receipts | None = None

    @property
    def since(self) -> int:
        """Return the first release of the last unbroken run of those that showed the visit."""
        first = self.releases[-1]
        while first - 1 in self.releases:
            first -= 1
        return first


def public_lives(visit_ids: Iterable[UUID]) -> dict[UUID, PublicLife]:
    """Return the public life of each visit that ever had one."""
    ids = list(visit_ids)
    newest = current_release()
    lives = {} if newest is None else _standing(ids, newest.number)
    stones = list(Tombstone.objects.filter(id__in=ids))
    receipts = receipts_of(stone.id for stone in stones)
    return lives | {stone.id: _over(stone, receipts.get(stone.id)) for stone in stones}


def _standing(ids: list[UUID], newest: int) -> dict[UUID, PublicLife]:
    versions: dict[UUID, list[PublishedVisit]] = {}
    for version in PublishedVisit.objects.filter(id__in=ids).order_by("since_release"):
        versions.setdefault(version.id, []).append(version)
    return {visit_id: _life(held, newest) for visit_id, held in versions.items()}


def _life(versions: list[PublishedVisit], newest: int) -> PublicLife:
    shown = {
        number
        for version in versions
        if not version.hidden
        for number in range(version.since_release, version.until_release or newest + 1)
    }
    current = [version for version in versions if version.until_release is None]
    return PublicLife(
        releases=tuple(sorted(shown)),
        is_current=bool(current),
        is_hidden=any(version.hidden for version in current),
    )


def _over(stone: Tombstone, receipts: Receipts | None) -> PublicLife:
    return PublicLife(
        releases=tuple(range(stone.first_release, stone.last_release + 1)),
        withdrawn_on=stone.withdrawn_on,
        reason_class=stone.reason_class,
        receipts=receipts,
    )
