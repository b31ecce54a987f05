"""Stewards say which taxa are sensitive."""

from typing import Any

import pytest
from django.utils import timezone

from portal.publication.operations import make_release
from portal.records.models import PublishedVisit, Tombstone
from surveys.audit.models import AuditEntry
from surveys.protocol.models import TaxonSensitivity
from surveys.visits.models import Phase
from tests.api.holders import holder_of
from tests.factories.private import CountFactory, ReviewerFactory
from tests.journeys.actors import Actor
from tests.portal.publication.villages import village, village_group

TAXA = "/api/v1/review/sensitive-taxa"
RARE = {"scientific_name": "Lumbricus rarus", "category": 1, "reason": "Collectors."}

pytestmark = pytest.mark.django_db


@pytest.fixture
def steward() -> Actor:
    return holder_of(ReviewerFactory.create(code="S1", is_steward=True), "steward")


def test_site_of_a_find_goes_at_once_when_its_taxon_becomes_sensitive(steward: Actor) -> None:
    homes = village(village_group(), range(6))
    phase = Phase.objects.filter(pit__visit=homes[0].visit)[0]
    CountFactory.create(phase=phase, taxon="Lumbricus rarus", number=1)
    make_release(at=timezone.now(), by="test")
    assert PublishedVisit.objects.count() == 6

    answer = steward.post(TAXA, RARE)

    assert answer.status_code == 201
    assert answer.json()["public_records_withdrawn"] > 0
    assert PublishedVisit.objects.count() == 5
    assert set(Tombstone.objects.values_list("reason_class", flat=True)) == {"place_protected"}
    assert AuditEntry.objects.filter(action="taxon sensitivity set").count() == 1


def test_last_setting_holds_and_all_are_shown(steward: Actor) -> None:
    steward.post(TAXA, RARE)
    steward.post(TAXA, RARE | {"scientific_name": "Eisenia parva", "category": 3})
    steward.post(TAXA, RARE | {"category": None, "reason": "No longer sought."})

    body = steward.get(TAXA).json()

    assert body["in_force"] == {"Eisenia parva": 3}
    assert [row["category"] for row in body["history"]] == [None, 3, 1]
    assert body["history"][0]["author"] == "reviewer S1"


@pytest.mark.parametrize(
    "change", [{"category": 0}, {"category": 5}, {"scientific_name": " "}, {"reason": ""}, {"x": 1}]
)
def test_setting_with_a_fault_is_refused(steward: Actor, change: dict[str, Any]) -> None:
    assert steward.post(TAXA, RARE | change).status_code == 422
    assert not TaxonSensitivity.objects.exists()


def test_history_is_never_changed(steward: Actor) -> None:
    steward.post(TAXA, RARE)
    row = TaxonSensitivity.objects.get()

    for change in (row.save, row.delete):
        with pytest.raises(TypeError):
            change()


def test_only_stewards_may_look() -> None:
    reviewer = holder_of(ReviewerFactory.create(), "review", "steward")

    assert reviewer.get(TAXA).status_code == 403
