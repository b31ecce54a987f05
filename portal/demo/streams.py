"""Random streams by name: every draw has its own, so a new person or field shifts no other."""

import hashlib
import uuid
from collections.abc import Mapping, Sequence
from random import Random

IDS = uuid.uuid5(uuid.NAMESPACE_URL, "urn:drilosphere:demo")


def stream(seed: int, *name: str) -> Random:
    """Return the stream of a name, such as ``stream(216, "QVD-A01", "lawn", "pit")``."""
    text = "|".join((str(seed), *name))
    digest = hashlib.sha256(text.encode()).digest()
    return Random(int.from_bytes(digest[:8], "big"))  # noqa: S311 -- invented data, no secret


def demo_id(seed: int, key: str) -> uuid.UUID:
    """Return an id that is the same for the same seed and key; real ids are random."""
    return uuid.uuid5(IDS, f"{seed}|{key}")


def pick(rng: Random, shares: Mapping[str, float]) -> str:
    """Return one word, each as likely as its share of the sum."""
    return rng.choices(list(shares), weights=list(shares.values()))[0]


def poisson(rng: Random, mean: float) -> int:
    """Return a Poisson number: how many exponential waits fit into ``mean``."""
    number, passed = -1, 0.0
    while passed < mean:
        passed += rng.expovariate(1.0)
        number += 1
    return max(number, 0)


def binomial(rng: Random, trials: int, share: float) -> int:
    """Return how many of the trials succeed."""
    return sum(rng.random() < share for _ in range(trials))


def dirichlet(rng: Random, weights: Sequence[float]) -> list[float]:
    """Return shares that sum to one and vary about the weights, less with larger weights."""
    parts = [rng.gammavariate(weight, 1.0) for weight in weights]
    total = sum(parts)
    return [part / total for part in parts]


def multinomial(rng: Random, trials: int, shares: Sequence[float]) -> list[int]:
    """Return how many of the trials fall to each share."""
    found = [0] * len(shares)
    for place in rng.choices(range(len(shares)), weights=list(shares), k=trials):
        found[place] += 1
    return found
