"""Where else a page leads, as links in the header of an answer (RFC 8288)."""

from collections.abc import Iterator

from portal.archive import addresses
from portal.archive.metadata import DatasetMetadata
from portal.catalogue.citations import FORMATS
from portal.snapshots.citing import CitedSnapshot


def release_links(metadata: DatasetMetadata) -> str:
    """Return the links of a release's page; ``cite-as`` (RFC 8574) is what to cite."""
    return _written(_release(metadata))


def dataset_links(metadata: DatasetMetadata) -> str:
    """Return the links of the dataset's page, described by its newest release."""
    return _written(_dataset(metadata))


def snapshot_links(work: CitedSnapshot) -> str:
    """Return the links of a snapshot's page."""
    return _written(_snapshot(work))


Link = tuple[str, str, str]


def _release(metadata: DatasetMetadata) -> Iterator[Link]:
    yield metadata.cited_at, "cite-as", ""
    yield metadata.dataset_page, "collection", "text/html"
    for one in FORMATS:
        kind = one.media_type.partition(";")[0]
        yield f"{metadata.page}/citation?f={one.name}", "describedby", kind
    yield metadata.release_page, "alternate", "application/json"
    yield metadata.licence.legal_text, "license", ""


def _dataset(metadata: DatasetMetadata) -> Iterator[Link]:
    yield metadata.identifier, "cite-as", ""
    yield metadata.page, "latest-version", "text/html"  # RFC 5829
    yield addresses.catalogue(), "describedby", "application/ld+json"
    yield f"{addresses.catalogue()}?f=ttl", "describedby", "text/turtle"
    yield metadata.licence.legal_text, "license", ""


def _snapshot(work: CitedSnapshot) -> Iterator[Link]:
    yield work.page, "cite-as", ""
    yield work.snapshot.release.page, "collection", "text/html"
    yield work.snapshot.record, "alternate", "application/json"
    yield work.licence.legal_text, "license", ""


def _written(links: Iterator[Link]) -> str:
    return ", ".join(
        f'<{address}>; rel="{relation}"' + (f'; type="{kind}"' if kind else "")
        for address, relation, kind in links
    )
