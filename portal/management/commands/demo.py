"""Set up the demonstration and serve it: ``manage.py demo``."""

from argparse import Action, ArgumentParser, Namespace
from collections.abc import Sequence
from typing import Any, get_args

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from portal.demo.report import addresses, found, played, try_out
from portal.demo.runner import OtherData, seed_demo
from portal.demo.scenario import DEFAULT_SEED, Size, build

DEFAULT_PORT = 8000


class SizeAction(Action):
    """Read ``small``, ``full`` or ``bench N``."""

    def __call__(
        self,
        parser: ArgumentParser,
        namespace: Namespace,
        values: str | Sequence[Any] | None,
        option_string: str | None = None,
    ) -> None:
        """Store the size, and the number of visits of a bench."""
        size, *rest = list(values or [""])
        if size not in get_args(Size) or not all(number.isdecimal() for number in rest[:1]):
            parser.error(f"{option_string} takes {', '.join(get_args(Size))}; bench with a number.")
        if len(rest) != (size == "bench"):
            parser.error(f"{option_string} bench takes one number, the other sizes take none.")
        namespace.size = size
        namespace.visits = int(rest[0]) if rest else None


class Command(BaseCommand):
    """Migrate, play the invented scenario into the database, say where to look, and serve."""

    help = "Set up the demonstration with invented data, and serve it."
    stealth_options = ("visits",)

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the options."""
        parser.add_argument(
            "--size",
            action=SizeAction,
            nargs="+",
            default="full",
            metavar="SIZE",
            help="small, full, or bench with the number of visits: --size bench 400.",
        )
        parser.set_defaults(visits=None)
        parser.add_argument("--seed", type=int, default=DEFAULT_SEED)
        parser.add_argument("--port", type=int, default=DEFAULT_PORT)
        parser.add_argument("--no-serve", action="store_true", help="Set up only.")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Run the steps.

        Raises
        ------
        CommandError
            If the options do not fit together, the database holds other data, or the
            installation does not say that its data are invented.
        """
        if not settings.DATASET["notice"]:
            msg = "The demo must be marked as invented: set DRILOSPHERE_NOTICE, or use manage.py."
            raise CommandError(msg)
        if options["port"] != DEFAULT_PORT:
            settings.PUBLIC_URL = f"http://localhost:{options['port']}"
        self._say("Preparing the database ...")
        call_command("migrate", verbosity=0)
        self._seed(options)
        self._say(addresses(settings.PUBLIC_URL))
        self._say(try_out(settings.PUBLIC_URL, at=timezone.now()))
        self._say(f"\n{settings.DATASET['notice']}")
        if not options["no_serve"]:
            self._say(f"\nServing at {settings.PUBLIC_URL}, until Ctrl-C.")
            call_command("runserver", str(options["port"]), use_reloader=False)

    def _seed(self, options: dict[str, Any]) -> None:
        try:
            scenario = build(options["seed"], options["size"], options["visits"])
            self._say(f"Scenario: {len(scenario.outings)} visits, {len(scenario.events)} events.")
            stage = seed_demo(scenario, self._progress)
        except (OtherData, ValueError) as error:
            raise CommandError(str(error)) from error
        self._say("The demo is here already." if stage is None else played(stage))
        self._say(found())

    def _progress(self, done: int, total: int) -> None:
        if done * 10 // total > (done - 1) * 10 // total:
            self._say(f"  {done * 100 // total} %")

    def _say(self, text: str) -> None:
        self.stdout.write(text)
        self.stdout.flush()
