"""The only source of what is said about the dataset as a whole: any catalogue reads it here."""

from dataclasses import dataclass
from datetime import datetime

from django.conf import settings

from portal.archive import addresses
from portal.archive.coverage import Coverage, coverage_of
from portal.archive.edition import Edition
from portal.archive.licences import Licence
from portal.archive.protocols import StoredProtocol

KEYWORDS = ("soil fauna", "earthworms", "soil pit", "sampling event", "community science")

_ABSTRACT = (
    "Counts of soil animals by ecological group or taxon and by life stage in small soil pits, "
    "usually dug in pairs in contrasting habitats, with simple soil observations, made by "
    "volunteers of partner groups."
)
_PURPOSE = "To compare the animals of the soil between habitats, managements and seasons."
_READING = (
    "Events are visits, the pits of a visit and the extraction steps of a pit. Each line that "
    "was counted in a step is an occurrence. A zero is an absence of animals of that line's "
    "life stage and ecological group, named in verbatimIdentification and dynamicProperties: it "
    "is no absence of the whole taxon from the pit, for which see absentTaxa of the pit. Lines "
    "that were not looked for or not entered have no row."
)
_PLACES = (
    "Places are generalised once for each site, so that all of its records share one published "
    "cell; names of recorders are withheld."
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
class DatasetMetadata:
    """A release of the dataset described in words and figures."""

    identifier: str
    release_number: int
    issued_at: datetime
    title: str
    citation: str
    licence: Licence
    rights_holder: str
    contact: str
    site: str
    release_page: str
    coverage: Coverage
    place_description: str
    method_steps: tuple[str, ...]
    credits: tuple[str, ...]
    remarks: tuple[str, ...]
    abstract: str = _ABSTRACT
    purpose: str = _PURPOSE
    keywords: tuple[str, ...] = KEYWORDS
    maintenance: str = _MAINTENANCE
    study_extent: str = _STUDY_EXTENT
    sampling: str = _SAMPLING
    quality_control: str = _QUALITY

    @property
    def package_id(self) -> str:
        """Return the identifier of this release of the dataset."""
        return f"{self.identifier}/{self.release_number}"


def dataset_metadata(edition: Edition) -> DatasetMetadata:
    """Return the description of a release."""
    release = edition.release
    region = settings.DATASET["region"]
    return DatasetMetadata(
        identifier=addresses.dataset(),
        release_number=release.number,
        issued_at=release.issued_at,
        title=release.title,
        citation=release.citation,
        licence=edition.licence,
        rights_holder=edition.rights_holder,
        contact=edition.contact,
        site=settings.PUBLIC_URL,
        release_page=addresses.release(release.number),
        coverage=coverage_of(edition),
        place_description="Published cells with surveyed sites" + (f", {region}" if region else ""),
        method_steps=tuple(_method_step(protocol) for protocol in edition.protocols.values()),
        credits=tuple(group["name"] for group in release.credits),
        remarks=tuple(text for text in (edition.notice, _READING, _PLACES) if text),
    )


def _method_step(protocol: StoredProtocol) -> str:
    return f"{protocol.full_title} ({addresses.protocol(protocol.name)}). {protocol.summary}"
