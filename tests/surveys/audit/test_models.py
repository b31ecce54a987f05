"""The trail can only grow."""

import pytest

from surveys.audit.models import AuditEntry
from tests.factories.private import AuditEntryFactory

pytestmark = pytest.mark.django_db


def test_entry_is_never_changed() -> None:
    entry = AuditEntryFactory.create(actor="office")
    entry.actor = "somebody else"

    with pytest.raises(TypeError, match="never changed"):
        entry.save()

    assert AuditEntry.objects.get().actor == "office"


def test_entry_read_again_is_never_changed_either() -> None:
    AuditEntryFactory.create(actor="office")
    entry = AuditEntry.objects.get()
    entry.actor = "somebody else"

    with pytest.raises(TypeError, match="never changed"):
        entry.save(update_fields=["actor"])

    assert AuditEntry.objects.get().actor == "office"


def test_entry_is_never_deleted() -> None:
    entry = AuditEntryFactory.create()

    with pytest.raises(TypeError, match="never deleted"):
        entry.delete()

    assert AuditEntry.objects.count() == 1
