"""Who has confirmed a withdrawal, as the page tells it."""

from datetime import UTC, datetime

from portal.harvesters.models import Acknowledgement, Harvester
from portal.records.models import ChangeEntry
from tests.factories.private import PitFactory, VisitFactory
from tests.portal.personal.conftest import LinkHolder
from tests.portal.publication.villages import Household

CONFIRMED_AT = datetime(2026, 11, 25, 16, 40, tzinfo=UTC)
NOBODY = "No harvester was registered with us then, so nobody can confirm."


def harvester(name: str, *, joined_after: int = 0) -> Harvester:
    return Harvester.objects.create(
        name=name,
        prefix="drh000000",
        sha256=f"{Harvester.objects.count():064x}",
        registered_at=CONFIRMED_AT,
        joined_after=joined_after,
    )


def acknowledge(one: Harvester, entry: ChangeEntry) -> None:
    Acknowledgement.objects.create(harvester=one, entry=entry, acknowledged_at=CONFIRMED_AT)


def newest_entry() -> ChangeEntry:
    return ChangeEntry.objects.order_by("-number")[0]


def test_without_harvesters_the_page_says_so_plainly(holder: LinkHolder) -> None:
    holder.confirm(record="V00")

    for below in ("", "/withdrawn"):
        text = holder.page(below)
        assert NOBODY in text
        assert "Copies that others took before can't be called back." in text
        assert "confirmed" not in text.replace(NOBODY, "")


def test_confirmed_ones_are_named_with_the_time_and_the_others_waited_for(
    holder: LinkHolder,
) -> None:
    before = newest_entry()
    atlas, ledger = harvester("Atlas & Co"), harvester("Ledger")
    harvester("Map room")
    holder.confirm(record="V00")
    acknowledge(atlas, newest_entry())
    acknowledge(ledger, newest_entry())
    acknowledge(Harvester.objects.get(name="Map room"), before)

    text = holder.page("/withdrawn")

    assert "2 of 3 harvesters have confirmed taking it out; waiting for: Map room" in text
    assert "Come back to this page" in text
    for name in ("Atlas &amp; Co", "Ledger"):
        assert (
            f'{name} confirmed on <time datetime="2026-11-25T16:40:00+00:00">'
            "25 November 2026, 16:40 UTC</time>" in text
        )
    assert "Map room confirmed" not in text
    assert NOBODY not in text


def test_one_confirmation_is_told_in_the_singular(holder: LinkHolder) -> None:
    one = harvester("Ledger")
    holder.confirm(record="V00")
    assert "0 of 1 harvesters have confirmed taking it out; waiting for: Ledger since" in (
        holder.page("/withdrawn")
    )

    acknowledge(one, newest_entry())

    assert "1 of 1 harvesters has confirmed taking it out. " in holder.page("/withdrawn")


def test_harvester_that_came_later_is_not_waited_for(holder: LinkHolder) -> None:
    holder.confirm(record="V00")
    harvester("Latecomer", joined_after=newest_entry().number)

    assert "Latecomer" not in holder.page("/withdrawn")


def test_records_of_one_act_are_confirmed_together_and_never_published_ones_not(
    homes: list[Household], holder: LinkHolder
) -> None:
    PitFactory.create(visit=VisitFactory.create(participant=homes[0].participant))
    harvester("Ledger")
    holder.confirm(everything="yes")

    text = holder.page("/withdrawn")

    assert text.count("Withdrawn. It was never published.") == 1
    assert text.count("waiting for: Ledger") == 1
