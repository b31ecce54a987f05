"""Lists in pages: tokens, and what happens when items change between two pages."""

import pytest
from django.core import signing
from pytest_django import Settings

from api.harvest.oai.faults import Fault
from api.harvest.oai.listing import Page, listing_of, page_of
from tests.api.harvest.oai.scenes import build, day, issue, withdraw

pytestmark = pytest.mark.django_db
CONTENT = ["ListRecords", "oai_dc", "", "z", "", ""]  # of a token
LIST = {"verb": "ListRecords", "metadataPrefix": "oai_dc"}


@pytest.fixture(autouse=True)
def small_pages(settings: Settings) -> None:
    settings.OAI_PAGE_SIZE = 2


def page(**arguments: str) -> Page:
    return page_of(listing_of(LIST | arguments))


def resumed(token: str | None, verb: str = "ListRecords") -> Page:
    return page_of(listing_of({"verb": verb, "resumptionToken": str(token)}))


def names(found: Page) -> list[str]:
    return [item.identifier.rpartition(":")[2] for item in found.items]


def refusal(token: str, verb: str = "ListRecords") -> str:
    with pytest.raises(Fault) as caught:
        resumed(token, verb)
    return caught.value.code


def test_list_on_one_page_has_no_token() -> None:
    issue(1)

    assert names(page()) == ["dataset", "release/1"]
    assert page().token is None


def test_last_page_of_a_split_list_has_an_empty_token() -> None:
    for number in (1, 2, 3):
        issue(number)

    first = page()
    last = resumed(first.token)

    assert names(first) + names(last) == ["release/1", "dataset", "release/2", "release/3"]
    assert last.token == ""


def test_same_token_gives_the_same_page() -> None:
    for number in range(1, 7):
        issue(number)
    second = page().token

    assert resumed(second) == resumed(second)
    assert page().token == second


def test_token_keeps_from_and_until() -> None:
    for number in range(1, 8):
        issue(number)

    first = page(**{"from": "2025-06-03", "until": "2025-06-05"})
    rest = resumed(first.token)

    # the release of a day changes the one before it
    assert names(first) + names(rest) == ["release/2", "release/3", "release/4"]
    assert rest.token == ""


@pytest.mark.parametrize(
    "asked",
    [
        {"until": "2025-05-31"},
        {"until": "2025-06-01T09:30:14Z"},
        {"from": "2025-06-01T09:30:16Z"},
        {"from": "2999-01-01"},
    ],
)
def test_span_without_changes_has_no_records(asked: dict[str, str]) -> None:
    issue(1)

    with pytest.raises(Fault) as caught:
        page(**asked)

    assert caught.value.code == "noRecordsMatch"


def test_no_release_has_no_records() -> None:
    with pytest.raises(Fault) as caught:
        page()

    assert caught.value.code == "noRecordsMatch"


def test_token_of_another_verb_is_refused() -> None:
    issue(1)
    issue(2)

    assert refusal(str(page().token), "ListIdentifiers") == "badResumptionToken"


@pytest.mark.parametrize("spoil", ["", "x", "{}x", "x{}", "{}:", "\x00{}"])
def test_spoilt_token_is_refused(spoil: str) -> None:
    issue(1)
    issue(2)

    assert refusal(spoil.format(page().token)) == "badResumptionToken"


def test_token_signed_for_something_else_is_refused() -> None:
    foreign = signing.Signer(salt="api.cursor").sign_object(CONTENT)

    assert refusal(foreign) == "badResumptionToken"


def test_token_signed_with_another_key_is_refused() -> None:
    forged = signing.Signer(key="guess", salt="api.harvest.oai").sign_object(CONTENT)

    assert refusal(forged) == "badResumptionToken"


def test_sets_are_said_not_to_exist_once_the_span_is_well_written() -> None:
    with pytest.raises(Fault) as caught:
        listing_of(LIST | {"set": "a"})
    with pytest.raises(Fault) as misspelt:
        listing_of(LIST | {"set": "a", "from": "junk"})

    assert caught.value.code == "noSetHierarchy"
    assert misspelt.value.code == "badArgument", "the answer repeats the arguments"


def test_item_changed_between_pages_comes_again_later() -> None:
    for number in (1, 2, 3, 4):
        issue(number)
    first = page()

    build(1, day(20))
    issue(5, day(21))
    second = resumed(first.token)
    third = resumed(second.token)

    assert names(first) == ["release/1", "release/2"]
    assert names(second) == ["release/3", "release/1"]
    assert names(third) == ["dataset", "release/4"]
    assert names(resumed(third.token)) == ["release/5"]


def test_item_deleted_between_pages_comes_as_deleted() -> None:
    for number in (1, 2, 3):
        issue(number)
    first = page()

    withdraw(2, day(20))
    last = resumed(first.token)

    assert names(first) == ["release/1", "dataset"]
    assert names(last) == ["release/3", "release/2"]
    assert [item.is_deleted for item in last.items] == [False, True]


def test_rest_that_left_a_closed_list_asks_to_begin_again() -> None:
    for number in (1, 2, 3):
        issue(number)
    first = page(until="2025-06-03")

    issue(4)
    build(2, day(20))

    assert names(first) == ["release/1", "dataset"]
    assert refusal(str(first.token)) == "badResumptionToken"
