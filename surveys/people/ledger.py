"""The ledger of receipts: their hashes as the trail has them, under one root."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from surveys.audit.models import AuditEntry
from surveys.people.receipts import SEAL, Receipt, is_whole
from surveys.people.tree import leads_to, path_of, root_of


@dataclass(frozen=True)
class Head:
    """The root over the first ``size`` receipts: what is made known to everybody."""

    size: int
    root: str


def head_of_ledger() -> Head:
    """Return the root over all receipts so far."""
    leaves = _leaves()
    return Head(len(leaves), root_of(leaves).hex())


def with_proofs(receipts: list[Receipt]) -> dict[str, Any]:
    """Return receipts, each with its way to the root over all receipts so far."""
    leaves = _leaves()
    places = {leaf.hex(): index for index, leaf in enumerate(leaves)}
    proofs = [
        {
            "receipt": receipt,
            "index": places[receipt[SEAL]],
            "path": [step.hex() for step in path_of(places[receipt[SEAL]], leaves)],
        }
        for receipt in receipts
        if receipt[SEAL] in places
    ]
    return {"size": len(leaves), "root": root_of(leaves).hex(), "receipts": proofs}


def is_proven(proof: Mapping[str, Any], head: Head) -> bool:
    """Tell whether a receipt is whole and stood under a known root; needs no database."""
    receipt = proof["receipt"]
    path = [bytes.fromhex(step) for step in proof["path"]]
    leaf, root = bytes.fromhex(receipt[SEAL]), bytes.fromhex(head.root)
    return is_whole(receipt) and leads_to(root, leaf, proof["index"], head.size, path)


def _leaves() -> list[bytes]:
    noted = AuditEntry.objects.filter(detail__has_key="receipt_sha256").order_by("id")
    return [bytes.fromhex(one) for one in noted.values_list("detail__receipt_sha256", flat=True)]
