"""Attacks on what comes along with rows: their order, cursors, tokens, headers, sizes.

Numbers 4, 5, 6 and 7 of the list.
"""

import base64
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest

from portal.records.models import ReleaseFile
from tests.attacks.conftest import Tell
from tests.attacks.facts import all_of_them
from tests.attacks.scene import COLLECTIONS, Answers, differing, json_of, read
from tests.factories.private import AuditEntryFactory
from tests.portal.publication.villages import (
    FIRST_AT,
    fixed_mint,
    household,
    release,
    village_group,
)

ARRIVED = [3, 0, 6, 2, 5, 1, 4, 9, 7, 8]  # the order in which visits were accepted
SORTS = ("sampled_on", "-sampled_on", "people_digging", "uncertainty_m", "found", "number")
COMPUTED = (
    "/api/v1/summary?by=cell,month",
    "/api/v1/planning/where",
    "/api/v1/releases/1/changes",
    "/api/v1/changes?limit=1000",
    "/features/collections/pits/items?limit=1000",
    "/oai?verb=ListRecords&metadataPrefix=oai_dc",
)
Link = tuple[str, str]  # the parameter and its value


@dataclass(frozen=True)
class Loot:
    """Rows in their orders, tokens to go on with, headers before and after private edits."""

    answers: Answers
    sorted: Answers
    feed: list[dict[str, Any]]
    tokens: list[Link]
    tampered: dict[Link, int]
    edited: list[str]


def raided(tell: Tell, arrived: list[int]) -> Loot:
    def story() -> None:
        group = village_group()
        for number in arrived:
            household(group, number)
        release(1, mint=fixed_mint)

    loot: Loot = tell(story, mount)
    return loot


def mount() -> Loot:
    files = [f"/files/1/1/{file.name}" for file in ReleaseFile.objects.all()]
    asked = [f"/api/v1/{name}?limit=1000" for name in COLLECTIONS] + files + [*COMPUTED]
    answers = {one: read(one) for one in asked}
    in_orders = {}
    for name in COLLECTIONS:
        for sort in SORTS:
            address = f"/api/v1/{name}?limit=1000&fields=id&sort={sort}"
            in_orders[address] = read(address)
    tokens = list(going_on())
    tampered = {
        (name, wrong): read(f"{path}{name}={wrong}").status
        for path, name, value in tokens
        for wrong in spoilt(value)
    }
    all_of_them()
    AuditEntryFactory.create()
    return Loot(
        answers=answers,
        sorted=in_orders,
        feed=json_of("/api/v1/changes?limit=1000")["data"],
        tokens=[(name, value) for _, name, value in tokens],
        tampered=tampered,
        edited=differing(uncounted(answers), uncounted({one: read(one) for one in asked})),
    )


def uncounted(answers: Answers) -> Answers:
    """Return answers without how many more may be asked for."""
    return {
        address: replace(
            answer, headers={k: v for k, v in answer.headers.items() if k != "RateLimit"}
        )
        for address, answer in answers.items()
    }


def going_on() -> Iterator[tuple[str, str, str]]:
    """Yield the tokens by which readers go on: path up to the parameter, its name, its value."""
    for sort in ("sampled_on", "-people_digging"):
        following = json_of(f"/api/v1/visits?limit=2&sort={sort}")["links"]["next"]
        yield f"/api/v1/visits?limit=2&sort={sort}&", "cursor", token_in(following, "cursor")
    feed = json_of("/api/v1/changes?limit=3")
    yield "/api/v1/changes?", "since", feed["meta"]["resume"]
    items = json_of("/features/collections/visits/items?limit=2")
    (following,) = [link["href"] for link in items["links"] if link["rel"] == "next"]
    name = next(iter(set(parse_qs(urlsplit(following).query)) - {"limit", "f", "release"}))
    yield "/features/collections/visits/items?limit=2&", name, token_in(following, name)


def token_in(address: str, name: str) -> str:
    return parse_qs(urlsplit(address).query)[name][0]


def spoilt(token: str) -> Iterator[str]:
    """Yield a token with one letter changed, at a few places of each of its parts."""
    for place in (0, len(token) // 3, len(token) // 2, len(token) - 2):
        other = "A" if token[place] != "A" else "B"
        yield token[:place] + other + token[place + 1 :]
    yield token[: len(token) // 2]


@pytest.fixture(scope="module")
def loot(tell: Tell) -> Loot:
    """Return what was carried away from a village that was accepted in one order."""
    return raided(tell, ARRIVED)


def test_order_of_arrival_shows_nowhere(tell: Tell, loot: Loot) -> None:
    """4: the same village, accepted in another order; the same bytes in every sort and file."""
    other = raided(tell, sorted(ARRIVED))

    assert differing(other.answers, loot.answers) == []
    assert differing(other.sorted, loot.sorted) == []


def test_every_sort_was_answered_or_refused(loot: Loot) -> None:
    statuses = [answer.status for answer in loot.sorted.values()]

    assert set(statuses) == {200, 400}
    assert statuses.count(200) > 12


def decoded(token: str) -> str:
    """Return everything that base64 makes of the parts of a token."""
    parts = re.split(r"[.:]", token)
    return " ".join(
        base64.urlsafe_b64decode(part + "=" * (-len(part) % 4)).decode("latin-1") for part in parts
    )


def test_tokens_hold_public_keys_only(loot: Loot) -> None:
    """5: decode each part; what looks like an id is a published row's, and there is no time."""
    rows = [loot.answers[f"/api/v1/{name}?limit=1000"].body.decode() for name in COLLECTIONS]
    shown = " ".join(rows).replace("-", "")

    assert {name for name, _ in loot.tokens} >= {"cursor", "since"}
    for _, token in loot.tokens:
        text = decoded(token)
        ids = re.findall(r"[0-9a-f]{32}", text.replace("-", ""))
        assert all(one in shown for one in ids)
        assert "52.8" not in text
        assert not re.search(r"T\d\d:\d\d", text)


def test_token_with_a_flipped_bit_is_refused(loot: Loot) -> None:
    """5: change a letter, cut it off; 400."""
    assert len(loot.tampered) >= 3 * 5
    assert set(loot.tampered.values()) == {400}


def test_private_edit_after_a_release_changes_no_header(loot: Loot) -> None:
    """6: edit notes, names, places after a release; ETag, Last-Modified and length stay.

    The places are moved behind the back of the program: a correction by its own ways is public.
    """
    assert loot.edited == []
    headers = [answer.headers for answer in loot.answers.values()]
    assert sum("ETag" in one for one in headers) > 10


def test_last_modified_is_the_date_of_the_release(loot: Loot) -> None:
    """6: read the hour of a moderator's work off Last-Modified."""
    found = {answer.headers.get("Last-Modified") for answer in loot.answers.values()} - {None}

    assert found == {FIRST_AT.strftime("%a, %d %b %Y %H:%M:%S GMT")}


def test_feed_is_in_order_of_ids_and_of_one_instant(loot: Loot) -> None:
    """7: ten visits accepted one after another; the feed knows one time and one order."""
    kinds = ["visit", "pit", "occurrence"]
    told = [(kinds.index(item["kind"]), item["id"]) for item in loot.feed]

    assert len(told) > 50
    assert told == sorted(told)
    assert {item["at"] for item in loot.feed} == {"2025-06-30T09:00:00Z"}


def test_size_of_an_answer_is_that_of_public_rows(loot: Loot) -> None:
    """Read from lengths whether there is more than is shown: a row a row, and nothing beside."""
    for name in ("visits", "pits"):
        rows = json.loads(loot.answers[f"/api/v1/{name}?limit=1000"].body)
        assert rows["page"]["returned"] == len(rows["data"]) == rows["page"].get("matched")


def test_limits_count_requests_and_nothing_else(loot: Loot) -> None:
    """Read from RateLimit whether a request met private rows: each costs one, found or not."""
    left = [
        int(re.findall(r"r=(\d+)", answer.headers["RateLimit"])[0])
        for answer in loot.sorted.values()
        if "RateLimit" in answer.headers
    ]

    assert [first - second for first, second in pairwise(left)] == [1] * (len(left) - 1)
