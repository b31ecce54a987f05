"""Review many visits at once: the clean ones, or those of a decision list."""

import csv
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from surveys.checks.queries import concerns
from surveys.moderation.models import Decision
from surveys.moderation.operations import review
from surveys.moderation.queue import waiting_for
from surveys.moderation.refusals import ClaimedByOther, NotAllowed, NotDecidable, StaleDecision
from surveys.moderation.versions import version_of
from surveys.people.models import Reviewer
from surveys.visits.models import Visit

COLUMNS = ("group", "client_ref", "revision", "decision", "reason_code", "message")


class Command(BaseCommand):
    """Review a batch in the name of one reviewer."""

    help = (
        "Review a batch: --clean accepts what waits and raised no concern; --list reads a CSV "
        f"with the columns {', '.join(COLUMNS)}. All of a list is decided, or none of it."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Name the arguments."""
        parser.add_argument("reviewer", help="code of the reviewer")
        which = parser.add_mutually_exclusive_group(required=True)
        which.add_argument("--clean", action="store_true")
        which.add_argument("--list", type=Path)

    def handle(self, **options: Any) -> None:
        """Decide, and say how many.

        Raises
        ------
        CommandError
            If the reviewer is unknown or a line of the list cannot be decided.
        """
        reviewer = Reviewer.objects.filter(code=options["reviewer"]).first()
        if reviewer is None:
            msg = f"There is no reviewer {options['reviewer']}."
            raise CommandError(msg)
        done = (
            accept_clean(reviewer) if options["clean"] else decide_list(reviewer, options["list"])
        )
        left = waiting_for(reviewer, timezone.now()).count()
        self.stdout.write(f"Decided: {done}. Still waiting: {left}.")


def accept_clean(reviewer: Reviewer) -> int:
    """Accept every visit that waits for a reviewer and raised no concern."""
    clean = [visit for visit in waiting_for(reviewer, timezone.now()) if not concerns(visit)]
    for visit in clean:
        review(
            visit=visit,
            reviewer=reviewer,
            decision=Decision.ACCEPTED,
            seen=version_of(visit),
            at=timezone.now(),
        )
    return len(clean)


@transaction.atomic
def decide_list(reviewer: Reviewer, path: Path) -> int:
    """Decide every line of a list, or none.

    Raises
    ------
    CommandError
        Naming the first line that cannot be decided, and why.
    """
    with path.open(encoding="utf-8-sig", newline="") as lines:
        rows = list(csv.DictReader(lines))
    for number, row in enumerate(rows, start=2):
        try:
            _decide(reviewer, row)
        except (KeyError, ValueError, Visit.DoesNotExist) as error:
            msg = f"Line {number}: no such visit, decision or revision ({', '.join(COLUMNS)})."
            raise CommandError(msg) from error
        except (NotAllowed, NotDecidable, StaleDecision, ClaimedByOther) as error:
            msg = f"Line {number}: {error}"
            raise CommandError(msg) from error
    return len(rows)


def _decide(reviewer: Reviewer, row: dict[str, str]) -> None:
    visit = Visit.objects.get(group__code=row["group"], client_ref=row["client_ref"])
    if visit.revision != int(row["revision"]):
        raise StaleDecision(visit, version_of(visit))
    review(
        visit=visit,
        reviewer=reviewer,
        decision=Decision(row["decision"]),
        seen=version_of(visit),
        reason_code=row["reason_code"],
        message=row["message"],
        at=timezone.now(),
    )
