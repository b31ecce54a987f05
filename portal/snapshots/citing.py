"""A snapshot as a work that can be cited."""

from dataclasses import dataclass
from datetime import UTC, date

from portal.archive.edition import Edition, edition_of
from portal.archive.licences import Licence
from portal.archive.metadata import KEYWORDS
from portal.snapshots.models import Snapshot
from portal.snapshots.queries import Content, groups_told, told_content


@dataclass(frozen=True)
class CitedSnapshot:
    """What reference managers and search engines are told of a snapshot."""

    snapshot: Snapshot
    edition: Edition
    content: Content | None  # none once rows were taken out
    groups: tuple[str, ...]  # whose names may still be told
    keywords: tuple[str, ...] = KEYWORDS
    cited_doi: str = ""  # of the snapshot; its release may have one

    @property
    def citation(self) -> str:
        """Return how to cite the snapshot in words."""
        head = f"{self.rights_holder} ({self.issued_on.year}). {self.title}."
        source = f"Release {self.release_number}, snapshot {self.snapshot.id}."
        return " ".join(part for part in (head, source, self.thanks, self.page) if part)

    @property
    def title(self) -> str:
        """Return a title that says which rows it holds."""
        held = f"{self.snapshot.rows} {self.snapshot.collection}"
        return f"{self.snapshot.release.title}: {held}, frozen on {self.issued_on}"

    @property
    def thanks(self) -> str:
        """Return who recorded the rows: by name who agreed to that, all others in general."""
        names = ", ".join(self.credits)
        if names and self.has_other_groups:
            return f"Recorded by {names} and other partner groups."
        if names:
            return f"Recorded by {names}."
        return "Recorded by partner groups." if self.has_other_groups else ""

    @property
    def has_other_groups(self) -> bool:
        """Tell whether groups recorded some of the rows that are not named, or no longer."""
        return self.snapshot.has_unnamed_groups or len(self.groups) < len(self.snapshot.groups)

    @property
    def abstract(self) -> str:
        """Return what the snapshot is; a notice comes first."""
        text = (
            f"The {self.snapshot.rows} {self.snapshot.collection} that the query "
            f"{self.snapshot.query} gave, frozen from release {self.release_number} of the "
            f"dataset {self.snapshot.release.title!r} ({self.snapshot.release.cited_at})."
        )
        checksum = f"SHA-256 of all rows as NDJSON: {self.content.sha256}." if self.content else ""
        return " ".join(part for part in (self.edition.notice, text, checksum) if part)

    @property
    def issued_on(self) -> date:
        """Return the day (UTC) on which the query was frozen."""
        return self.snapshot.created_at.astimezone(UTC).date()

    @property
    def version_name(self) -> str:
        """Return what tells the work from others of the same title and year, in one word."""
        return f"snapshot-{self.snapshot.id}"

    @property
    def page(self) -> str:
        """Return the permanent address."""
        return self.snapshot.page

    @property
    def release_number(self) -> int:
        """Return the number of the release."""
        return self.snapshot.release_id

    @property
    def credits(self) -> tuple[str, ...]:
        """Return the contributing groups that may be named."""
        return self.groups

    @property
    def rights_holder(self) -> str:
        """Return who holds the rights."""
        return self.edition.rights_holder

    @property
    def contact(self) -> str:
        """Return where to write to."""
        return self.edition.contact

    @property
    def licence(self) -> Licence:
        """Return the licence."""
        return self.edition.licence


def cited(snapshot: Snapshot) -> CitedSnapshot:
    """Return a snapshot as a work that can be cited."""
    return CitedSnapshot(
        snapshot, edition_of(snapshot.release), told_content(snapshot), groups_told(snapshot)
    )
