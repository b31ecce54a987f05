"""A tree of hashes over receipts (RFC 6962, section 2.1): one root stands for all of them.

Whoever holds a receipt, its path and a root that was made known can tell without us that the
receipt was there then. The hashes tell nobody what a receipt says.
"""

import hashlib
from collections.abc import Sequence

LEAF, NODE = b"\x00", b"\x01"  # so that no receipt can be taken for a node


def root_of(leaves: Sequence[bytes]) -> bytes:
    """Return the root over leaves in their order."""
    if not leaves:
        return hashlib.sha256().digest()
    if len(leaves) == 1:
        return _leaf(leaves[0])
    middle = _middle(len(leaves))
    return _node(root_of(leaves[:middle]), root_of(leaves[middle:]))


def path_of(index: int, leaves: Sequence[bytes]) -> list[bytes]:
    """Return the hashes that lead from a leaf to the root, from below."""
    if len(leaves) == 1:
        return []
    middle = _middle(len(leaves))
    if index < middle:
        return [*path_of(index, leaves[:middle]), root_of(leaves[middle:])]
    return [*path_of(index - middle, leaves[middle:]), root_of(leaves[:middle])]


def leads_to(root: bytes, leaf: bytes, index: int, size: int, path: Sequence[bytes]) -> bool:
    """Tell whether a leaf stands at a place among so many under a root."""
    return 0 <= index < size and _up(leaf, index, size, list(path)) == root


def _up(leaf: bytes, index: int, size: int, path: list[bytes]) -> bytes | None:
    """Return the root that a path ends at, or nothing if it has another length."""
    if size == 1:
        return None if path else _leaf(leaf)
    if not path:
        return None
    *below, beside = path
    middle = _middle(size)
    if index < middle:
        own = _up(leaf, index, middle, below)
        return None if own is None else _node(own, beside)
    own = _up(leaf, index - middle, size - middle, below)
    return None if own is None else _node(beside, own)


def _middle(size: int) -> int:
    """Return the largest power of two below a size."""
    return int(1 << (size - 1).bit_length() - 1)


def _leaf(data: bytes) -> bytes:
    return hashlib.sha256(LEAF + data).digest()


def _node(left: bytes, right: bytes) -> bytes:
    return hashlib.sha256(NODE + left + right).digest()
