"""Play a scenario into an empty database, in the order of its own clock."""

from collections.abc import Callable

from django.db import transaction

from portal.demo.playing import play
from portal.demo.region import DEMO_NOW
from portal.demo.scenario import Scenario
from portal.demo.stage import Stage
from surveys.audit.models import AuditEntry
from surveys.audit.operations import record
from surveys.people.models import Group
from surveys.people.wording import library as statements
from surveys.people.wording import load_statement
from surveys.protocol.definition import library
from surveys.protocol.operations import load_protocol

MARK = "demo seeded"
Progress = Callable[[int, int], None]


class OtherData(Exception):  # noqa: N818 -- reads as what happened
    """The database holds something else, so the demo needs a fresh one."""


def seed_demo(scenario: Scenario, on_progress: Progress | None = None) -> Stage | None:
    """Play a scenario into an empty database, all or nothing; None if it is there already.

    Raises
    ------
    OtherData
        If the database holds another demo or other records.
    """
    mark = f"{scenario.size} {len(scenario.outings)} {scenario.seed}"
    held = AuditEntry.objects.filter(action=MARK).values_list("subject_key", flat=True).first()
    if held == mark:
        return None
    if held is not None or Group.objects.exists():
        what = f"the demo {held!r}, not {mark!r}" if held else "records that are not the demo's"
        msg = f"This database holds {what}. Name a fresh one in DATABASE_URL."
        raise OtherData(msg)
    stage = Stage(scenario.seed)
    with transaction.atomic():
        for protocol in library():
            load_protocol(protocol, at=scenario.events[0].at)
        for statement in statements():
            load_statement(statement, at=scenario.events[0].at)
        for done, event in enumerate(scenario.events, start=1):
            play(event, stage)
            if on_progress is not None:
                on_progress(done, len(scenario.events))
        record(actor="demo", action=MARK, kind="demo", key=mark, at=DEMO_NOW)
    return stage
