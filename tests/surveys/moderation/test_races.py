"""Two reviewers at once: one wins, the other learns why."""

import json
import threading
from collections.abc import Callable
from functools import partial
from typing import Any

import pytest
from django.db import connection

from surveys.intake.bulk_corrections import correct_many
from surveys.intake.idempotency import Answer
from surveys.moderation.claims import claim
from surveys.moderation.models import Review, ReviewClaim
from surveys.moderation.operations import review
from surveys.moderation.refusals import ClaimedByOther, StaleDecision
from surveys.moderation.versions import version_of
from surveys.people.models import Group, Reviewer
from surveys.visits.models import Visit
from tests.factories.private import (
    NOW,
    ReviewerFactory,
    sending_group,
    stored_visit,
    visit_payload,
)

ROUNDS = 10

pytestmark = [
    pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has one writer at a time"),
    pytest.mark.django_db(transaction=True),
]


def at_once(*acts: Callable[[], Any]) -> list[Any]:
    """Run acts in threads that start together; returns what each gave or raised."""
    gate = threading.Barrier(len(acts))
    results: list[Any] = [None] * len(acts)

    def run(number: int, act: Callable[[], Any]) -> None:
        gate.wait()
        try:
            results[number] = act()
        except (StaleDecision, ClaimedByOther) as refusal:
            results[number] = refusal
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(acts)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return results


def accepting(visit: Visit, by: Reviewer) -> Callable[[], Review]:
    """Return the acceptance of a visit as it stands now, yet to be sent."""
    seen = version_of(visit)
    return lambda: review(visit=visit, reviewer=by, decision="accepted", seen=seen, at=NOW)


def test_of_two_decisions_at_once_one_is_stale_and_told_of_the_other() -> None:
    group, reviewers = sending_group(), ReviewerFactory.create_batch(2)
    visit = stored_visit(group)
    for _ in range(ROUNDS):
        Visit.objects.update(state="in_review")
        Review.objects.all().delete()

        results = at_once(*(accepting(visit, by) for by in reviewers))

        (made,) = (one for one in results if isinstance(one, Review))
        (stale,) = (one for one in results if isinstance(one, StaleDecision))
        assert [one.by for one in stale.happened] == [made.reviewer.code]
        assert Review.objects.count() == 1


def test_of_two_first_looks_at_once_one_is_stale_without_the_others_decision(
    settings: Any,
) -> None:
    settings.SECOND_LOOK_SHARE = 1.0
    visit, reviewers = stored_visit(sending_group()), ReviewerFactory.create_batch(2)

    results = at_once(*(accepting(visit, by) for by in reviewers))

    (stale,) = (one for one in results if isinstance(one, StaleDecision))
    assert [one.decision for one in stale.happened] == [""]
    assert Review.objects.get().standing == "held"


def test_of_two_claims_at_once_one_holds() -> None:
    visit, reviewers = stored_visit(sending_group()), ReviewerFactory.create_batch(2)
    for _ in range(ROUNDS):
        ReviewClaim.objects.all().delete()

        results = at_once(*(partial(claim, visit=visit, reviewer=by, at=NOW) for by in reviewers))

        (held,) = (one for one in results if isinstance(one, ReviewClaim))
        assert sum(isinstance(one, ClaimedByOther) for one in results) == 1
        assert ReviewClaim.objects.get().reviewer == held.reviewer


def test_corrections_in_bulk_and_decisions_meanwhile_wait_for_each_other() -> None:
    """Each holds visits and adds to the trail: in another order they would block each other."""
    group, reviewer = sending_group(), ReviewerFactory.create()
    payloads = [visit_payload(client_ref=f"QVD-S{number}") for number in range(4)]
    for payload in payloads:
        stored_visit(group, payload)
    visits = list(Visit.objects.order_by("-pk"))
    for revision in range(1, 4):
        sent = [
            {"revision": revision, "visit": payload | {"people_digging": revision + 2}}
            for payload in payloads
        ]

        answer, *_ = at_once(
            partial(corrected, group, sent), *(accepting(visit, reviewer) for visit in visits)
        )

        assert answer.body["summary"]["corrected"] == len(payloads)


def corrected(group: Group, corrections: list[Any]) -> Answer:
    return correct_many(
        group=group,
        token_name=group.code,
        body=json.dumps({"corrections": corrections}).encode(),
        at=NOW,
        dry_run=False,
        all_or_nothing=True,
    )
