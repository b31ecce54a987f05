"""Lock files: what they pin, and whether the running Python has it."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from importlib import metadata
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

RUNTIME = "requirements.lock"
TEST = "requirements-test.lock"
DEV = "requirements-dev.lock"
INTEROP = "requirements-interop.lock"

# The lock files whose pins each of them holds as well.
INCLUDED = {RUNTIME: (), TEST: (RUNTIME,), DEV: (RUNTIME, TEST), INTEROP: (RUNTIME, TEST)}

# A pin with a condition ("; sys_platform == ...") holds on some machines only and isn't looked for.
_PIN_EVERYWHERE = re.compile(r"^([A-Za-z0-9._-]+)==([^\s;]+) *\\?$", re.MULTILINE)


@dataclass(frozen=True)
class Lock:
    """One lock file of the project."""

    path: Path

    @property
    def name(self) -> str:
        """The file's name, such as requirements.lock."""
        return self.path.name

    def pins(self) -> dict[str, str]:
        """Return the version of each package that every machine needs."""
        return dict(_PIN_EVERYWHERE.findall(self.path.read_text(encoding="utf-8")))

    def digests(self) -> dict[str, str]:
        """Return the SHA-256 of this file and of those whose pins it includes, by name."""
        names = (*INCLUDED[self.name], self.name)
        return {name: _sha256(self.path.with_name(name)) for name in names}

    def lacking(self) -> list[str]:
        """Return the pinned packages that the running Python doesn't have at all."""
        return [name for name in self.pins() if _installed_version(name) is None]

    def differing(self) -> list[str]:
        """Return the packages the running Python has in another version, with both versions."""
        found = {name: _installed_version(name) for name in self.pins()}
        return [
            f"{name} {found[name]} instead of {pinned}"
            for name, pinned in self.pins().items()
            if found[name] not in {None, pinned}
        ]


def _sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _installed_version(name: str) -> str | None:
    try:
        return metadata.version(name)
    except metadata.PackageNotFoundError:
        return None
