"""The check with real tools: its own pytest options, and the programs it finds on the system."""

from __future__ import annotations

import shutil

# One process and one server: the tools wait for answers more than they compute.
PYTEST_OPTIONS = ["-m", "interop", "-o", "testpaths=tests/interop"]

# Programs that no Python package brings, each with the Debian package that does.
PROGRAMS = {"curl": "curl", "ogr2ogr": "gdal-bin"}


def missing_programs() -> str:
    """Return a line about the programs this system lacks; their tests are skipped."""
    missing = [program for program in PROGRAMS if shutil.which(program) is None]
    if not missing:
        return "Programs of the system: all there."
    packages = " ".join(PROGRAMS[program] for program in missing)
    return (
        f"Missing, so that their tests are skipped: {', '.join(missing)}. "
        f"On Debian and Ubuntu: apt-get install {packages}"
    )
