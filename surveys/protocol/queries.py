"""Find stored protocol versions."""

from django.db.models import QuerySet
from django.db.models.functions import Length

from surveys.protocol.models import ProtocolVersion


def protocol_named(name: str) -> ProtocolVersion | None:
    """Return the version called ``key/version``, or nothing."""
    key, _, version = name.partition("/")
    return ProtocolVersion.objects.filter(key=key, version=version).first()


def all_versions() -> QuerySet[ProtocolVersion]:
    """Return every stored version, by key and number of the version."""
    return ProtocolVersion.objects.order_by("key", Length("version"), "version")


def protocol_names() -> list[str]:
    """Return every stored ``key/version``."""
    return [str(version) for version in all_versions()]
