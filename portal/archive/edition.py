"""What all rows of one archive share: release, licence, owner, words and protocols."""

from dataclasses import dataclass
from typing import cast

from django.conf import settings

from portal.archive.licences import Licence, licence
from portal.archive.profiles import Profile
from portal.archive.protocols import StoredProtocol, UnknownProtocolError, read_protocols
from portal.archive.taxa import Identification, identify
from portal.records.models import PublishedCount, Release


@dataclass(frozen=True)
class Edition:
    """A release written in one profile of the standard."""

    release: Release
    profile: Profile
    licence: Licence
    protocols: dict[str, StoredProtocol]
    rights_holder: str
    contact: str
    publisher_code: str
    notice: str

    @property
    def recorders(self) -> str:
        """Return the name under which every record is anonymous."""
        return f"{self.rights_holder} volunteers"

    def protocol(self, name: str) -> StoredProtocol:
        """Return the protocol that a row names.

        Raises
        ------
        UnknownProtocolError
            If the release does not hold it.
        """
        if name not in self.protocols:
            message = f"Release {self.release.number} holds no protocol {name!r}."
            raise UnknownProtocolError(message)
        return self.protocols[name]

    def identification(
        self, protocol_name: str, taxon: str | None, coarse_taxon: str
    ) -> Identification:
        """Return what the animals of a line were determined as."""
        protocol = self.protocol(protocol_name)
        rank = protocol.coarse_rank if protocol.coarse_taxon == coarse_taxon else ""
        return identify(taxon, coarse_taxon, rank)


def identification_of(edition: Edition, count: PublishedCount) -> Identification:
    """Return what the animals of a count were determined as."""
    return edition.identification(count.protocol, count.taxon, count.coarse_taxon)


def edition_of(release: Release, profile: Profile | None = None) -> Edition:
    """Return the edition of a release, in the profile that the installation is set to.

    Raises
    ------
    UnknownLicenceError
        If aggregators would not take the licence of the release.
    """
    owner = settings.DATASET
    return Edition(
        release=release,
        profile=profile or cast("Profile", settings.DWC_PROFILE),  # checked at the start
        licence=licence(release.licence_id),
        protocols=read_protocols(release.protocols),
        rights_holder=release.rights_holder,
        contact=owner["contact"],
        publisher_code=owner["code"],
        notice=owner["notice"],
    )
