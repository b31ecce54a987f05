"""The only source of what is said about the dataset as a whole: any catalogue reads it here."""

from dataclasses import dataclass
from datetime import UTC, date, datetime

from django.conf import settings

from portal.archive import addresses
from portal.archive.coverage import Coverage, coverage_of
from portal.archive.edition import Edition
from portal.archive.licences import Licence
from portal.archive.protocols import StoredProtocol
from portal.records.queries import rows_of

KEYWORDS = ("soil fauna", "earthworms", "soil pit", "sampling event", "community science")

_ABSTRACT = (
    "Counts of soil animals by ecological group or taxon and by life stage in small soil pits, "
    "usually dug in pairs in contrasting habitats, with simple soil observations, made by "
    "volunteers of partner groups."
)
_PURPOSE = "To compare the animals of the soil between habitats, managements and seasons."
_READING = (
    "Events are visits, the pits of a visit and the extraction steps of a pit. Each line that "
    "found animals in a step is an occurrence, and so is each zero where nothing of its taxon "
    "was found in the same step: an absence. The zero of a group or stage beside animals of the "
    "same taxon is no absence, but a measurement of the step. Lines that were not looked for or "
    "not entered have no row."
)
_PLACES = (
    "Places are generalised once for each site, so that all of its records share one published "
    "cell; recorders are named only where they agreed to it."
)
_MAINTENANCE = "Releases are numbered and never change; older releases stay available."
_STUDY_EXTENT = "Sites were chosen by the partner groups and their volunteers."
_SAMPLING = (
    "Pits of known area and depth; every line of the counting form that was looked for is "
    "reported, zeros included."
)
_QUALITY = (
    "Checks of range, place, time and consistency on receipt, then the decision of a reviewer; "
    "identificationVerificationStatus says how far each record was verified."
)


@dataclass(frozen=True)
class Figures:
    """What is computed from all rows of a release."""

    coverage: Coverage
    rows: dict[str, int]


@dataclass(frozen=True)
class DatasetMetadata:
    """A release of the dataset described in words and figures."""

    identifier: str
    dataset_doi: str
    dataset_page: str
    release_number: int
    doi: str
    page: str
    release_page: str
    issued_at: datetime
    title: str
    citation: str
    cited_doi: str
    cited_at: str
    licence: Licence
    rights_holder: str
    contact: str
    site: str
    coverage: Coverage
    rows: dict[str, int]
    place_description: str
    method_steps: tuple[str, ...]
    credits: tuple[str, ...]
    notice: str
    remarks: tuple[str, ...]
    purpose: str = _PURPOSE
    keywords: tuple[str, ...] = KEYWORDS
    maintenance: str = _MAINTENANCE
    study_extent: str = _STUDY_EXTENT
    sampling: str = _SAMPLING
    quality_control: str = _QUALITY

    @property
    def package_id(self) -> str:
        """Return the identifier of this release of the dataset, written with a bare DOI."""
        return f"{self.dataset_doi or self.identifier}/{self.release_number}"

    @property
    def abstract(self) -> str:
        """Return what the dataset is, and how much this release holds; a notice comes first."""
        rows = [f"{number} {name}" for name, number in self.rows.items()]
        held = f"Release {self.release_number} holds {', '.join(rows[:-1])} and {rows[-1]}."
        return f"{self.notice} {_ABSTRACT} {held}".strip()

    @property
    def issued_on(self) -> date:
        """Return the day (UTC) on which the release was issued."""
        return self.issued_at.astimezone(UTC).date()

    @property
    def version_name(self) -> str:
        """Return what tells the release from others of the same title and year, in one word."""
        return f"release{self.release_number}"

    @property
    def thanks(self) -> str:
        """Return who contributed, of those that agreed to be named."""
        return f"Partner groups: {', '.join(self.credits)}." if self.credits else ""


def figures_of(edition: Edition) -> Figures:
    """Return the figures of a release; every row is looked at."""
    return Figures(coverage_of(edition), rows_of(edition.release.number))


def dataset_metadata(edition: Edition, figures: Figures | None = None) -> DatasetMetadata:
    """Return the description of a release, with figures that are known already if given."""
    figures = figures or figures_of(edition)
    release = edition.release
    region = settings.DATASET["region"]
    return DatasetMetadata(
        identifier=addresses.dataset(),
        dataset_doi=settings.DATASET_DOI,
        dataset_page=addresses.dataset_page(),
        release_number=release.number,
        doi=release.doi,
        page=release.page,
        release_page=addresses.release(release.number),
        issued_at=release.issued_at,
        title=release.title,
        citation=release.citation,
        cited_doi=release.cited_doi,
        cited_at=release.cited_at,
        licence=edition.licence,
        rights_holder=edition.rights_holder,
        contact=edition.contact,
        site=settings.PUBLIC_URL,
        coverage=figures.coverage,
        rows=figures.rows,
        place_description="Published cells with surveyed sites" + (f", {region}" if region else ""),
        method_steps=tuple(_method_step(protocol) for protocol in edition.protocols.values()),
        credits=tuple(group["name"] for group in release.credits),
        notice=edition.notice,
        remarks=(_READING, _PLACES),
    )


def _method_step(protocol: StoredProtocol) -> str:
    return f"{protocol.full_title} ({addresses.protocol(protocol.name)}). {protocol.summary}"
