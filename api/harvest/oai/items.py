"""What can be harvested: each release, and the dataset, which its newest release describes."""

from dataclasses import dataclass
from datetime import datetime
from itertools import zip_longest
from urllib.parse import urlsplit

from django.conf import settings
from django.db.models import Exists, Max, OuterRef, Q

from api.harvest.oai.faults import Code, Fault
from portal.archive import addresses
from portal.archive.values import instant
from portal.records.doi import doi_address
from portal.records.models import PublishedVisit, Release, Tombstone

BEFORE_ALL = "1970-01-01T00:00:00Z"  # no release is older
_SHORT = ("number", "issued_at", "doi", "doi_set_at")  # without the long lists of a release
Position = tuple[str, str]


@dataclass(frozen=True)
class Item:
    """Something with the metadata of a release, or with none any more once deleted."""

    identifier: str
    datestamp: str
    release: int
    is_deleted: bool
    addresses: tuple[str, ...]
    related: tuple[str, ...]

    @property
    def position(self) -> Position:
        """Return the place in every list."""
        return self.datestamp, self.identifier


@dataclass(frozen=True)
class _State:
    """A release as far as it is stored; nothing here depends on when it is asked for."""

    release: Release
    changed_at: datetime
    is_deleted: bool


def items() -> list[Item]:
    """Return all items in the order of every list."""
    states = _states()
    found = [_release(state, newer) for state, newer in zip_longest(states, states[1:])]
    if states:
        found.append(_dataset(states))
    return sorted(found, key=lambda item: item.position)


def item_of(identifier: str) -> Item:
    """Return an item by its identifier.

    Raises
    ------
    Fault
        ``idDoesNotExist``.
    """
    for item in items():
        if item.identifier == identifier:
            return item
    raise Fault(Code.ID_DOES_NOT_EXIST, "No item here has this identifier.")


def earliest_datestamp() -> str:
    """Return an instant before which no item has a datestamp."""
    first = Release.objects.order_by("issued_at").values_list("issued_at", flat=True).first()
    return BEFORE_ALL if first is None else instant(first)


def _states() -> list[_State]:
    """Return the releases in order.

    A release is deleted when every visit it held was withdrawn. Hidden rows may be shown again.
    """
    number = OuterRef("number")
    rows = PublishedVisit.objects.filter(
        Q(until_release__isnull=True) | Q(until_release__gt=number), since_release__lte=number
    )
    stones = Tombstone.objects.filter(
        kind="visit", first_release__lte=number, last_release__gte=number
    )
    releases = Release.objects.annotate(
        built_at=Max("files__built_at"), has_rows=Exists(rows), has_stones=Exists(stones)
    )
    return [
        _State(
            release=release,
            changed_at=_last(release.issued_at, release.built_at, release.doi_set_at),
            is_deleted=release.has_stones and not release.has_rows,
        )
        for release in releases.only(*_SHORT).order_by("number")
    ]


def _last(*instants: datetime | None) -> datetime:
    return max(at for at in instants if at is not None)


def _release(state: _State, newer: _State | None) -> Item:
    """Return the item of a release; the one after it becomes part of its metadata."""
    release = state.release
    return Item(
        identifier=_identifier(f"release/{release.number}"),
        datestamp=instant(_last(state.changed_at, newer.release.issued_at if newer else None)),
        release=release.number,
        is_deleted=state.is_deleted,
        addresses=_with_doi(release.page, release.doi),
        related=(addresses.dataset(), *([newer.release.page] if newer else [])),
    )


def _dataset(states: list[_State]) -> Item:
    """Return the item of the dataset; a deleted release leaves it to the one before."""
    standing = [state for state in states if not state.is_deleted]
    described = (standing or states[:1])[-1]
    changes = states[states.index(described) :]
    return Item(
        identifier=_identifier("dataset"),
        datestamp=instant(max(state.changed_at for state in changes)),
        release=described.release.number,
        is_deleted=not standing,
        addresses=_with_doi(addresses.dataset_page(), settings.DATASET_DOI),
        related=(described.release.page,),
    )


def _with_doi(page: str, doi: str) -> tuple[str, ...]:
    return (page, doi_address(doi)) if doi else (page,)


def _identifier(name: str) -> str:
    return f"oai:{urlsplit(settings.PUBLIC_URL).hostname}:{name}"
