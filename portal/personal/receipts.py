"""Which harvesters have confirmed that they know of a withdrawal, and whom we wait for."""

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from portal.harvesters.queries import Confirmation, confirmations_of, withdrawal_entry_of


@dataclass(frozen=True)
class Receipts:
    """What the harvesters that were registered then have said about one withdrawal."""

    confirmed: list[Confirmation]
    waiting: list[str]

    @property
    def asked(self) -> int:
        """Return how many harvesters should confirm."""
        return len(self.confirmed) + len(self.waiting)


def receipts_of(withdrawn_ids: Iterable[UUID]) -> dict[UUID, Receipts]:
    """Return the receipts of each withdrawn record that stands in the list of changes."""
    entries = {record_id: withdrawal_entry_of(record_id) for record_id in withdrawn_ids}
    # Records withdrawn by one act share its entry.
    by_entry = {entry: _receipts(entry) for entry in set(entries.values()) if entry is not None}
    return {record_id: by_entry[entry] for record_id, entry in entries.items() if entry in by_entry}


def _receipts(entry: int) -> Receipts:
    said = confirmations_of(entry)
    return Receipts(
        confirmed=[one for one in said if one.confirmed_at is not None],
        waiting=[one.harvester for one in said if one.confirmed_at is None],
    )
