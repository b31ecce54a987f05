"""Consent statements as files: what was asked, in which words and from when.

A released file is never changed; other words are a new version. ``meaning`` grows only where the
new words ask for something else: answers to older meanings then end, at once or after a time of
grace, and people are asked again.
"""

import hashlib
import json
import tomllib
from datetime import date, datetime
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field

from surveys.people.models import ConsentPurpose, ConsentStatement

FOLDER = Path(__file__).parent / "statements"
LANGUAGES = ("en", "de")


class StatementChanged(Exception):  # noqa: N818 -- reads as what happened
    """A stored statement would change; answers to it would lose their meaning."""


class Wording(BaseModel):
    """The question and the statement in one language, and the same at a child's level."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    question: str = Field(min_length=1)
    statement: str = Field(min_length=1)
    for_children: str = Field(min_length=1)


class Statement(BaseModel):
    """One version of a statement."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    purpose: ConsentPurpose
    version: str = Field(pattern=r"^[1-9][0-9]*$")
    meaning: int = Field(ge=1)
    valid_from: date
    older_hold_until: date | None = None
    texts: dict[str, Wording]

    @property
    def name(self) -> str:
        """Return purpose and version as one word, for messages."""
        return f"{self.purpose.value}/{self.version}"

    @property
    def sha256(self) -> str:
        """Return the hash of everything that the file says."""
        return _sha256(self.model_dump(mode="json"))


def library() -> list[Statement]:
    """Return every statement of the folder, ordered by purpose and version."""
    found = [
        Statement.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
        for path in sorted(FOLDER.glob("*.toml"))
    ]
    return sorted(found, key=lambda statement: (statement.purpose.value, int(statement.version)))


def load_statement(statement: Statement, *, at: datetime) -> ConsentStatement:
    """Store a statement once.

    Raises
    ------
    StatementChanged
        If the same version of the purpose is stored with other words or another meaning.
    """
    stored, _ = ConsentStatement.objects.get_or_create(
        purpose=statement.purpose.value,
        version=statement.version,
        defaults={
            "meaning": statement.meaning,
            "valid_from": statement.valid_from,
            "older_end_on": statement.older_hold_until or statement.valid_from,
            "texts": statement.model_dump(mode="json")["texts"],
            "sha256": statement.sha256,
            "loaded_at": at,
        },
    )
    if stored.sha256 != statement.sha256:
        msg = f"{stored} is already stored with other words: give the new words a new version."
        raise StatementChanged(msg)
    return stored


def text_sha256(stored: ConsentStatement, language: str) -> str:
    """Return the hash of the words that somebody was shown, or of all if nobody noted which."""
    return _sha256(stored.texts[language]) if language else stored.sha256


def _sha256(value: object) -> str:
    text = json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()
