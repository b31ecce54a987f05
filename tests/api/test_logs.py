"""The log of an error: classes, places in the code, no words."""

import io
import logging
from collections.abc import Iterator

import pytest
from django.db import IntegrityError, connection, transaction

from api.logs import HideWords
from surveys.people.models import Group
from tests.factories.private import GroupFactory, ParticipantFactory

OF_A_PERSON = "mara@example.org at 52.8812345"


@pytest.fixture
def written() -> Iterator[io.StringIO]:
    """Return what a handler with the filter writes."""
    text = io.StringIO()
    handler = logging.StreamHandler(text)
    handler.addFilter(HideWords())
    logger = logging.getLogger("tests.logs")
    logger.addHandler(handler)
    logger.propagate = False
    yield text
    logger.removeHandler(handler)
    logger.propagate = True


def log_of(error: Exception) -> None:
    try:
        raise error
    except type(error):
        logging.getLogger("tests.logs").exception("Broke")


def test_messages_of_an_error_and_of_its_cause_are_not_written(written: io.StringIO) -> None:
    error = ValueError(OF_A_PERSON)
    error.__cause__ = KeyError(OF_A_PERSON)

    log_of(error)

    text = written.getvalue()
    assert "mara" not in text
    assert "52.88" not in text
    assert text.splitlines()[0] == "Broke"
    assert "builtins.KeyError\n\nThen:\nTraceback" in text
    assert text.endswith("builtins.ValueError\n")
    assert "in log_of" in text, "where it arose is told"


def test_error_met_while_another_was_handled_is_written_after_it(written: io.StringIO) -> None:
    error = ValueError(OF_A_PERSON)
    error.__context__ = KeyError(OF_A_PERSON)

    log_of(error)

    text = written.getvalue()
    assert text.index("builtins.KeyError") < text.index("builtins.ValueError")
    assert "mara" not in text


def test_record_without_an_error_stays_as_it_is(written: io.StringIO) -> None:
    logging.getLogger("tests.logs").warning("All %s", "well")

    assert written.getvalue() == "All well\n"


@pytest.mark.django_db
def test_broken_constraint_is_named_and_its_row_is_not(written: io.StringIO) -> None:
    """SQLite tells the name in the message only, PostgreSQL beside it (libpq, PG_DIAG)."""
    group: Group = GroupFactory.create(code="QVD")
    ParticipantFactory.create(group=group, code=OF_A_PERSON, household="house-1")
    with pytest.raises(IntegrityError) as caught, transaction.atomic():
        ParticipantFactory.create(group=group, code=OF_A_PERSON, household="house-1")

    log_of(caught.value)

    assert "mara" not in written.getvalue()
    assert "django.db.utils.IntegrityError" in written.getvalue()
    if connection.vendor == "postgresql":
        assert "(participant_code_in_group)" in written.getvalue()
