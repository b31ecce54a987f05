"""A photo that comes in while its consent ends: the no wins, whoever is first."""

import threading
from collections.abc import Callable

import pytest
from django.db import connection, transaction

from surveys.people.models import Participant
from surveys.photos.models import Photo, PhotoKind
from surveys.photos.operations import NoConsent, keep_photo
from surveys.photos.picture import rebuilt
from surveys.visits.models import Visit
from tests.factories.private import NOW, ConsentFactory
from tests.surveys.photos.pictures import encoded

ROUNDS = 20
PICTURE = rebuilt(encoded())


def upload(visit: Visit) -> None:
    try:
        keep_photo(visit=visit, pit_number=1, kind=PhotoKind.PIT, picture=PICTURE, at=NOW)
    except NoConsent:
        return


def answer(person: Participant, decision: str) -> None:
    with transaction.atomic():
        ConsentFactory.create(
            participant=person, purpose="photos", decision=decision, decided_at=NOW
        )


def at_once(*acts: Callable[[], None]) -> None:
    """Run acts in threads that start together, each on a connection of its own."""
    gate = threading.Barrier(len(acts))

    def run(act: Callable[[], None]) -> None:
        gate.wait()
        try:
            act()
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(act,)) for act in acts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has one writer at a time")
@pytest.mark.django_db(transaction=True)
def test_photo_never_outlives_its_consent(visit: Visit) -> None:
    for _ in range(ROUNDS):
        answer(visit.participant, "given")

        at_once(lambda: upload(visit), lambda: answer(visit.participant, "withdrawn"))

        assert not Photo.objects.exists()


@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has one writer at a time")
@pytest.mark.django_db(transaction=True)
def test_same_photo_sent_twice_at_once_is_kept_once(visit: Visit) -> None:
    for _ in range(ROUNDS):
        at_once(lambda: upload(visit), lambda: upload(visit))

        assert Photo.objects.count() == 1
        Photo.objects.all().delete()
