"""Find stored protocol versions."""

from datetime import datetime

from django.db.models import QuerySet
from django.db.models.functions import Length

from surveys.protocol.definition import CheckParameters, Protocol
from surveys.protocol.models import CheckSetting, ProtocolVersion, TaxonSensitivity


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


def setting_in_force(version: ProtocolVersion, at: datetime) -> CheckSetting | None:
    """Return the setting of checks that holds for a protocol at an instant, or nothing."""
    return version.settings.filter(made_at__lte=at).order_by("-id").first()


def checked_with(version: ProtocolVersion, at: datetime) -> Protocol:
    """Return a protocol with the parameters by which visits are checked at an instant."""
    protocol, setting = version.read(), setting_in_force(version, at)
    if setting is None:
        return protocol
    own = protocol.checks.model_dump()
    checks = CheckParameters.model_validate(own | setting.parameters)
    return protocol.model_copy(update={"checks": checks})


def sensitive_taxa(at: datetime) -> dict[str, int]:
    """Return the category of each sensitive taxon at an instant."""
    newest = {
        row.scientific_name: row.category
        for row in TaxonSensitivity.objects.filter(made_at__lte=at).order_by("id")
    }
    return {name: category for name, category in newest.items() if category is not None}
