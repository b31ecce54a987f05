"""Who gets in, what every answer carries, and that nobody learns why they did not."""

from datetime import timedelta

import pytest
from django.core.signing import Signer
from django.test import Client
from django.utils import timezone

from portal.personal.guesses import WRONG_LINKS_ALLOWED
from portal.personal.urls import urlpatterns
from surveys.people.links import PURPOSE
from tests.portal.personal.conftest import LinkHolder, holder_of_link
from tests.portal.publication.villages import Household, village, village_group

PAGES = ("", "/withdrawal", "/withdrawal?record=V00", "/withdrawn", "/data.json")


@pytest.fixture
def homes(db: None) -> list[Household]:  # noqa: ARG001 -- the database is needed
    """Make one household; who gets in does not hang on releases, and these take their time."""
    return village(village_group(), range(1))


def changed(home: str) -> str:
    return home[:-1] + ("A" if home[-1] != "A" else "B")


def dead_links(home: Household) -> dict[str, str]:
    """Return a link of each kind that must not open anything; the last one made is revoked."""
    now = timezone.now()
    expired = holder_of_link(home.participant, at=now - timedelta(days=8))
    older = holder_of_link(home.participant)
    holder_of_link(home.participant)
    return {
        "expired": expired.home,
        "ended by a newer one": older.home,
        "forged": changed(older.home),
        "signed for another purpose": "/my/" + Signer(salt="other", sep=".").sign("A" * 43),
        "signed, but unknown": "/my/" + Signer(salt=PURPOSE, sep=".").sign("A" * 43),
        "no link at all": "/my/visits",
    }


@pytest.mark.parametrize("below", PAGES)
def test_dead_links_get_one_and_the_same_page(homes: list[Household], below: str) -> None:
    answers = {kind: Client().get(link + below) for kind, link in dead_links(homes[0]).items()}

    assert {answer.status_code for answer in answers.values()} == {404}
    assert len({answer.content for answer in answers.values()}) == 1
    assert len({str(sorted(answer.headers.items())) for answer in answers.values()}) == 1
    text = answers["forged"].content.decode()
    assert "Ask the person in your group" in text
    for word in ("expired", "revoked", "signature", "QVD"):
        assert word not in text


def test_dead_links_withdraw_nothing(homes: list[Household]) -> None:
    for kind, link in dead_links(homes[0]).items():
        answer = Client().post(f"{link}/withdrawal", {"everything": "yes"})
        assert answer.status_code == 404, kind

    assert set(homes[0].participant.visits.values_list("state", flat=True)) == {"accepted"}


def test_link_works_until_its_last_second_and_not_after(homes: list[Household]) -> None:
    made_at = timezone.now() - timedelta(days=7)

    short = holder_of_link(homes[0].participant, at=made_at + timedelta(minutes=1))
    assert short.get().status_code == 200
    over = holder_of_link(homes[0].participant, at=made_at - timedelta(seconds=1))
    assert over.get().status_code == 404


@pytest.mark.parametrize("below", PAGES)
def test_page_is_private_unlisted_and_sends_its_address_nowhere(
    holder: LinkHolder, below: str
) -> None:
    for answer in (holder.get(below), holder.browser.head(holder.home + below)):
        assert answer.status_code == 200
        assert answer.headers["Cache-Control"] == "private, no-store"
        assert answer.headers["X-Robots-Tag"] == "noindex"
        # No word here lets a browser name the path of a page; see the WHATWG's Fetch standard,
        # "append a request Origin header", for why a form needs the second.
        form = below.startswith("/withdrawal")
        assert answer.headers["Referrer-Policy"] == ("strict-origin" if form else "no-referrer")
        policy = answer.headers["Content-Security-Policy"]
        assert policy.startswith("default-src 'none'; style-src 'self'")
        assert "form-action 'self'" in policy
        assert "frame-ancestors 'none'" in policy


@pytest.mark.django_db
@pytest.mark.parametrize("route", [str(entry.pattern) for entry in urlpatterns])
@pytest.mark.parametrize("method", ["get", "head", "post", "put", "delete"])
def test_no_address_opens_without_a_link(route: str, method: str) -> None:
    answer = getattr(Client(), method)("/" + route.replace("<str:token>", "nothing"))

    assert answer.status_code == 404
    assert answer.headers["Cache-Control"] == "private, no-store"
    assert answer.headers["Referrer-Policy"] == "no-referrer"
    assert answer.headers["X-Robots-Tag"] == "noindex"


@pytest.mark.parametrize("below", ["", "/withdrawn", "/data.json"])
def test_page_that_only_shows_takes_no_post(holder: LinkHolder, below: str) -> None:
    answer = holder.browser.post(holder.home + below, {"everything": "yes"})

    assert answer.status_code == 405
    assert answer.headers["Allow"] == "GET, HEAD"
    assert answer.headers["Cache-Control"] == "private, no-store"


def test_trailing_slash_cut_or_added_by_a_messenger_does_not_matter(holder: LinkHolder) -> None:
    assert holder.get("/").status_code == 200


@pytest.mark.django_db
def test_guessing_is_stopped_for_a_while() -> None:
    for number in range(WRONG_LINKS_ALLOWED):
        assert Client().get(f"/my/guess-{number}").status_code == 404

    answer = Client().get("/my/guess-more")

    assert answer.status_code == 429
    assert answer.headers["Retry-After"] == "600"
    assert "wait 10 minutes" in answer.content.decode()
    assert Client(REMOTE_ADDR="192.0.2.7").get("/my/guess-more").status_code == 404


def test_guesser_learns_nothing_from_a_right_guess(holder: LinkHolder) -> None:
    for number in range(WRONG_LINKS_ALLOWED):
        holder.browser.get(f"/my/guess-{number}")

    assert holder.get().status_code == 429


def test_right_links_are_not_counted(holder: LinkHolder) -> None:
    for _ in range(WRONG_LINKS_ALLOWED + 1):
        assert holder.get("/withdrawn").status_code == 200
