"""Decisions from before there were rounds: each is a round of its own."""

from importlib import import_module

import pytest
from django.apps import apps

from surveys.moderation.models import Review
from tests.factories.private import ReviewFactory, VisitFactory

MIGRATION = import_module("surveys.migrations.0008_review_looks")


@pytest.mark.django_db
def test_each_earlier_decision_becomes_a_round_of_its_visit() -> None:
    visit, other = VisitFactory.create_batch(2)
    for number in (91, 92):
        ReviewFactory.create(visit=visit, round=number)
        ReviewFactory.create(visit=other, round=number)
    ReviewFactory.create(visit=visit, round=93)

    MIGRATION.number_rounds(apps, None)

    rounds = Review.objects.order_by("id").values_list("visit", "round")
    assert list(rounds) == [
        (visit.pk, 1),
        (other.pk, 1),
        (visit.pk, 2),
        (other.pk, 2),
        (visit.pk, 3),
    ]
