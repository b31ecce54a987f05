"""Attacks by names: filters, sorts, fields and lookups on private columns.

Numbers 2 and 27 of the list. The attacker knows the source, and so every private column.
"""

import json
from typing import Any

import pytest

from api.open.filters import FILTERS
from api.open.parameters import PAGED, SHARED
from portal.records.fields import FIELDS
from tests.attacks.canaries import PRIVATE
from tests.attacks.conftest import Tell
from tests.attacks.scene import Answer, read
from tests.portal.publication.villages import fixed_mint, release, village, village_group

NONSENSE = "zzqqjjx"
COLLECTIONS = ("/api/v1/visits", "/features/collections/visits/items")
COMPUTED = ("/api/v1/summary", "/api/v1/agreement", "/api/v1/changes", "/api/v1/releases")
PEOPLE = (
    *("recorder", "recorded_by", "email", "email_sha256", "observer", "participant", "household"),
    *("name", "contact", "born_on", "owner", "telephone", "q", "search", "text"),
)
Loot = dict[tuple[str, str], Answer]


def private_names() -> list[str]:
    """Return the names of private columns that no published table has, and paths to them."""
    names = {field.name for model in PRIVATE for field in model._meta.concrete_fields}
    kept = names - published_names()
    paths = {"site__latitude__gt", "site__owner__name", "exact_lat", "visit__site__longitude"}
    return sorted(kept | paths | {f"{name}__startswith" for name in ("name", "contact", "code")})


def published_names() -> set[str]:
    """Return what may be asked for because it is published, or means something else here."""
    filters = {name for one in FILTERS.values() for name in one.base_filters}
    columns = {field.name for fields in FIELDS.values() for field in fields}
    return filters | columns | {*PAGED, *SHARED}


@pytest.fixture(scope="module")
def loot(tell_rows: Tell) -> Loot:
    """Return the answers to every private name in every place where names are taken."""

    def story() -> None:
        village(village_group(), range(5))
        release(1, mint=fixed_mint)

    def mount() -> Loot:
        answers = {}
        for name in [NONSENSE, *private_names()]:
            for address in COLLECTIONS:
                answers[f"{address}?{{}}=1", name] = read(f"{address}?{name}=1")
            for word in ("sort", "fields"):
                shape = f"/api/v1/visits?{word}={{}}"
                answers[shape, name] = read(shape.format(name))
            answers["/api/v1/summary?by={}", name] = read(f"/api/v1/summary?by={name}")
        for name in PEOPLE:
            for address in (*COLLECTIONS, *COMPUTED):
                answers[f"{address}?{name}", "people"] = read(f"{address}?{name}=Mara")
        return answers

    loot: Loot = tell_rows(story, mount)
    return loot


def test_private_name_is_refused_like_nonsense(loot: Loot) -> None:
    """2: every private column as filter, sort, field and grouping; 400 as for no word at all.

    What is refused names what is allowed; a private name must not be among it, nor be known.
    """
    asked = [(shape, name) for shape, name in loot if name not in {NONSENSE, "people"}]

    assert len(asked) > 500
    assert {loot[one].status for one in asked} == {400}


def test_refusal_of_a_private_name_has_the_words_of_nonsense(loot: Loot) -> None:
    """2: compare the words of the refusals, without the name and the published name next to it."""
    shapes = {shape for shape, name in loot if name != "people"}
    kinds: dict[str, set[Any]] = {}
    for shape, name in loot:
        if shape in shapes:
            kinds.setdefault(shape, set()).add(members_of(loot[shape, name]))

    assert {shape: len(found) for shape, found in kinds.items()} == dict.fromkeys(shapes, 1)


def members_of(answer: Answer) -> tuple[int, str, tuple[str, ...]]:
    """Return what kind of refusal an answer is: status, type and names of its members."""
    document = json.loads(answer.body)
    optional = {"nearest", "suggestion", "did_you_mean"}
    return answer.status, document.get("type", ""), tuple(sorted(set(document) - optional))


def test_nobody_can_be_searched_for(loot: Loot) -> None:
    """27: by recorder, e-mail, its hash, household, free text."""
    answers = {shape: answer.status for (shape, name), answer in loot.items() if name == "people"}

    assert len(answers) > 60
    assert set(answers.values()) == {400}
