"""Do what partner groups have uploaded; run one or more beside the server."""

import logging
import os
import socket
import time
import uuid
from argparse import ArgumentParser
from datetime import datetime, timedelta
from typing import Any

from django.core.management.base import BaseCommand
from django.db import close_old_connections
from django.utils import timezone

from portal.publication.changed_places import withdraw_coarsened
from surveys.people.models import Group
from surveys.uploads.leases import claim, let_go
from surveys.uploads.models import UploadJob
from surveys.uploads.operations import remove_old
from surveys.uploads.working import Hands, work

logger = logging.getLogger(__name__)
PAUSE_SECONDS = 2
TIDY_EVERY = timedelta(hours=1)


class Command(BaseCommand):
    """Work on uploads until stopped, or until none waits."""

    help = (
        "Work on uploads of partner groups. It may be killed at any moment: a job goes on where "
        "it stopped, with this worker or another."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Name the arguments."""
        parser.add_argument("--once", action="store_true", help="stop when no job waits")

    def handle(self, *, once: bool, **_options: Any) -> None:
        """Work."""
        worker = f"{socket.gethostname()[:30]}:{os.getpid()}:{uuid.uuid4().hex[:8]}"
        tidied_at = datetime.min.replace(tzinfo=timezone.get_current_timezone())
        while True:
            if timezone.now() - tidied_at > TIDY_EVERY:
                tidied_at = timezone.now()
                remove_old(at=tidied_at)
            if do_next(worker):
                continue
            if once:
                return
            close_old_connections()
            time.sleep(PAUSE_SECONDS)


def do_next(worker: str) -> bool:
    """Do the oldest job that waits; False if there is none."""
    job = claim(worker=worker, at=timezone.now())
    if job is None:
        return False
    try:
        work(job, Hands(timezone.now, _after_storing))
    except Exception:  # a broken job must not stop the others; it is tried some times
        logger.exception("upload %s", job.public_key)
        let_go(UploadJob.objects.get(pk=job.pk), at=timezone.now())
    return True


def _after_storing(group: Group, since: datetime) -> None:
    withdraw_coarsened(group=group, since=since)
