"""Fill the database that DATABASE_URL names with so many published counts, as a process."""

import os
import sys

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "portal.settings")
django.setup()

from django.core.management import call_command  # noqa: E402 -- needs what is set up above

from tests.benchmarks.published_rows import fill  # noqa: E402

if __name__ == "__main__":
    call_command("migrate", verbosity=0, skip_checks=True)
    fill(int(sys.argv[1]))
