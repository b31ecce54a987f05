"""After an erasure the closed store itself is searched: somebody who steals it learns no name.

Canaries stand in every private field; those of the person's own rows may be nowhere afterwards,
whatever becomes of the science.
"""

from datetime import timedelta
from typing import Any

import pytest

from portal.publication.erasure import ErasurePolicy, erase_participant
from surveys.audit.models import AuditEntry
from surveys.people.models import Consent, Participant, PersonalLink
from surveys.sites.models import ExactPermission, Site
from surveys.visits.models import Visit
from tests.attacks.canaries import PRIVATE, found_in, plant
from tests.factories import private
from tests.portal.publication.villages import FIRST_AT, village, village_group

pytestmark = [pytest.mark.slow, pytest.mark.django_db]


def own_rows(person: Participant) -> set[str]:
    """Return model and key of each row that is the person's own."""
    owned: dict[Any, Any] = {
        Participant: Participant.objects.filter(pk=person.pk),
        **{
            model: model._base_manager.filter(participant=person)
            for model in (Consent, PersonalLink, ExactPermission, Visit)
        },
        Site: Site.objects.filter(owner=person),
    }
    return {f"{model.__name__} {row.pk}" for model, found in owned.items() for row in found}


def stored() -> bytes:
    """Return everything that the closed store holds, apart from the trail."""
    tables = [model for model in PRIVATE if model is not AuditEntry]
    rows = (row for model in tables for row in model._base_manager.values_list())
    return "\n".join(str(value) for row in rows for value in row).encode()


@pytest.mark.parametrize("policy", list(ErasurePolicy))
def test_thief_of_the_store_finds_no_word_of_an_erased_person(policy: ErasurePolicy) -> None:
    home = village(village_group(), range(2))[0]
    private.PersonalLinkFactory.create(participant=home.participant)
    ExactPermission.objects.create(
        site=home.site,
        participant=home.participant,
        starts_on=FIRST_AT.date(),
        ends_on=FIRST_AT.date() + timedelta(days=9),
        evidence="spoken",
        given_at=FIRST_AT,
    )
    mine = own_rows(home.participant)
    words = {
        word: where
        for word, where in plant().items()
        if f"{where.partition('.')[0]} {where.rpartition(' ')[2]}" in mine
    }
    assert len(found_in(stored(), words)) > 15

    erase_participant(
        participant=Participant.objects.get(pk=home.participant.pk),
        policy=policy,
        at=FIRST_AT,
        by="office",
    )

    assert {words[word] for word in found_in(stored(), words)} == set()
