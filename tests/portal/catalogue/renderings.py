"""Two releases as everybody sees them, fetched once: every description and every file."""

import io
import json
import re
import tempfile
import zipfile
from dataclasses import dataclass, field
from functools import cache
from typing import Any
from urllib.parse import urlsplit
from xml.etree import ElementTree as ET

import pyarrow.parquet as pq
from django.core.cache import cache as limits
from django.test import Client

from portal.catalogue.citations import FORMATS
from portal.publication.identifiers import set_doi
from portal.records.models import Release
from tests.api.answers import bytes_of
from tests.modules import undone_at_the_end
from tests.portal.publication.villages import FIRST_AT, release, village, village_group

SITE = "https://data.example.org"
TITLE = "Worms & <pits> of {Ærø}, 50 %"
HOLDER = "Société des sols, North & South"
DATASET: dict[str, Any] = {
    "name": TITLE,
    "rights_holder": HOLDER,
    "contact": "data@example.org",
    "code": "SDS",
    "country_code": "",
    "country_box": "",
    "region": "Wennish Levels",
    "notice": "Invented data.",
}
DATASET_DOI = "10.5555/worms"
RELEASE_DOI = "10.5555/worms-2"


@dataclass
class Rendering:
    """What one visitor was told, and the files behind it."""

    catalogue: str
    turtle: str
    dataset_page: str
    release_pages: dict[int, str]
    citations: dict[str, str]
    links: dict[str, str]
    api: dict[str, Any]
    files: dict[str, bytes] = field(default_factory=dict)

    @property
    def eml(self) -> ET.Element:
        """Return the metadata in the archive of the newest release."""
        return ET.fromstring(self.member("eml.xml"))  # noqa: S314 -- our own file

    def rows(self, name: str, archive: str = "archive.zip") -> list[dict[str, str]]:
        """Return the rows of a file in an archive of the newest release."""
        lines = self.member(name, archive).decode().split("\n")[:-1]
        header = lines[0].split("\t")
        return [dict(zip(header, line.split("\t"), strict=True)) for line in lines[1:]]

    def member(self, name: str, archive: str = "archive.zip") -> bytes:
        """Return a file in an archive of the newest release."""
        with zipfile.ZipFile(io.BytesIO(self._file(archive))) as packed:
            return packed.read(name)

    def parquet_facts(self, name: str) -> dict[str, str]:
        """Return what a table of the newest release says of itself."""
        facts = pq.read_schema(io.BytesIO(self._file(name))).metadata
        return {key.decode(): value.decode() for key, value in facts.items()}

    def _file(self, name: str) -> bytes:
        newest = max(address for address in self.files if address.endswith(f"/{name}"))
        return self.files[newest]


def json_ld_of(page: str) -> dict[str, Any]:
    """Return the one document for search engines in a page."""
    (text,) = re.findall(r'<script type="application/ld\+json">(.*?)</script>', page, re.DOTALL)
    found: dict[str, Any] = json.loads(text)
    return found


@dataclass(frozen=True)
class Renderings:
    """The same two releases before and after the dataset and the newer one got their DOIs."""

    plain: Rendering
    with_doi: Rendering
    files_kept: bool


@cache
def renderings() -> Renderings:
    """Return the renderings; they are made once in a run, and their rows are gone again.

    A test that calls this needs the database.
    """
    limits.clear()
    with (
        tempfile.TemporaryDirectory() as folder,
        undone_at_the_end(
            PUBLIC_URL=SITE, DATASET=DATASET, DATASET_DOI="", MEDIA_ROOT=folder, DATA_PACKAGE=True
        ),
    ):
        group = village_group(named_publicly=True)
        village(group, range(5))
        release(1)
        village(group, range(5, 9))
        release(2)
        plain = _rendered()
        with undone_at_the_end(DATASET_DOI=DATASET_DOI):
            newest = Release.objects.get(number=2)
            set_doi(release=newest, doi=RELEASE_DOI, at=FIRST_AT.replace(year=2026), by="test")
            with_doi = _rendered()
    return Renderings(plain, with_doi, plain.files == with_doi.files)


def _rendered() -> Rendering:
    visitor = Client(headers={"Accept": "text/html,*/*;q=0.8"})
    catalogue = _text(visitor, "/catalogue")
    found = Rendering(
        catalogue=catalogue,
        turtle=_text(visitor, "/catalogue?f=ttl"),
        dataset_page=_text(visitor, "/dataset"),
        release_pages={number: _text(visitor, f"/releases/{number}") for number in (1, 2)},
        citations={
            one.name: _text(visitor, f"/releases/2/citation?f={one.name}") for one in FORMATS
        },
        links={path: visitor.get(path).headers["Link"] for path in ("/dataset", "/releases/2")},
        api=visitor.get("/api/v1/releases/2").json(),
    )
    for address in set(re.findall(rf'"({SITE}/files/[^"#]+)"', catalogue)):
        found.files[address] = bytes_of(visitor.get(urlsplit(address).path))
    return found


def _text(visitor: Client, address: str) -> str:
    answer = visitor.get(address)
    assert answer.status_code == 200, (address, answer.content)
    return answer.content.decode()
