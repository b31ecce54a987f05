"""A protocol version is stored once, and never becomes another."""

from datetime import timedelta
from decimal import Decimal

import pytest

from surveys.protocol.definition import Protocol, library
from surveys.protocol.models import ProtocolVersion
from surveys.protocol.operations import ProtocolChanged, load_protocol
from tests.factories.private import NOW

pytestmark = pytest.mark.django_db

PROTOCOLS = library()


@pytest.mark.parametrize("protocol", PROTOCOLS, ids=lambda protocol: protocol.name)
def test_stored_version_reads_as_its_file(protocol: Protocol) -> None:
    load_protocol(protocol, at=NOW)

    stored = ProtocolVersion.objects.get()
    assert str(stored) == protocol.name
    assert stored.read() == protocol
    assert (stored.valid_from, stored.loaded_at) == (protocol.valid_from, NOW)


def test_version_loaded_again_is_left_as_it_is() -> None:
    first = load_protocol(PROTOCOLS[0], at=NOW)

    again = load_protocol(PROTOCOLS[0], at=NOW + timedelta(days=1))

    assert again == first
    assert ProtocolVersion.objects.get().loaded_at == NOW


@pytest.mark.parametrize(
    "change",
    [
        {"title": "Another title"},
        {"stages_excluded": ()},
        {"pit": PROTOCOLS[0].pit.model_copy(update={"depth_cm": Decimal(25)})},
        {"categories": PROTOCOLS[0].categories[::-1]},
        {"cautions": PROTOCOLS[0].cautions[1:]},
    ],
    ids=lambda change: next(iter(change)),
)
def test_same_version_with_other_rules_is_refused(change: dict[str, object]) -> None:
    load_protocol(PROTOCOLS[0], at=NOW)

    with pytest.raises(ProtocolChanged, match=f"^{PROTOCOLS[0].name} .* new version"):
        load_protocol(PROTOCOLS[0].model_copy(update=change), at=NOW)

    assert ProtocolVersion.objects.get().read() == PROTOCOLS[0]


def test_other_rules_under_a_new_version_stand_beside_the_old() -> None:
    old = load_protocol(PROTOCOLS[0], at=NOW)

    new = load_protocol(PROTOCOLS[0].model_copy(update={"version": "9", "title": "New"}), at=NOW)

    assert new != old
    assert [version.read().title for version in ProtocolVersion.objects.all()] == [
        PROTOCOLS[0].title,
        "New",
    ]
