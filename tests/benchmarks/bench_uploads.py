"""A large file goes in while its worker is killed twice; run by hand.

``DATABASE_URL=... python -m tests.benchmarks.bench_uploads [rows]`` from the project's folder, on
an empty database of its own. The long table has a row for each count: 32 for a visit. It prints
how long it took, how much memory each worker needed, and whether every row is there exactly once.
"""

import os
import sys
import tempfile
from importlib import import_module

import django

ROWS = 200_000

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "portal.settings")
    with tempfile.TemporaryDirectory() as folder:
        os.environ["DRILOSPHERE_PRIVATE_DIR"] = folder  # for the workers too
        django.setup()
        rows = int(sys.argv[1]) if len(sys.argv) > 1 else ROWS
        import_module("tests.benchmarks.killed_uploads").run(rows)
