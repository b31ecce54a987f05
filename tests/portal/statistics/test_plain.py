"""The room is plain Python and cheap to import."""

import subprocess
import sys
from pathlib import Path

ROOM = Path(__file__).parents[3] / "portal/statistics"
HEAVY = ("django", "pydantic", "numpy", "scipy", "statsmodels", "colour")


def test_importing_every_module_loads_no_framework_and_no_numerical_library() -> None:
    modules = sorted(f"portal.statistics.{path.stem}" for path in ROOM.glob("[a-z]*.py"))
    script = f"import sys, {', '.join(modules)}; print(*set({HEAVY}) & set(sys.modules))"

    result = subprocess.run(  # noqa: S603 -- a fixed command
        [sys.executable, "-c", script],
        cwd=ROOM.parents[1],
        capture_output=True,
        text=True,
        check=True,
    )

    assert len(modules) >= 6
    assert result.stdout.split() == []
