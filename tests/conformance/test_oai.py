"""OAI-PMH 2.0: schemas in two engines, an outside harvester, and Dublin Core against EML."""

import random
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import Any
from urllib.parse import urlencode

import pytest
import xmlschema
from django.core.cache import cache as limits
from django.db import transaction
from django.test import Client, override_settings
from lxml import etree
from pytest_django import DjangoDbBlocker, Settings
from sickle import Sickle, app

from api.harvest.oai.items import items
from tests.api.harvest.oai.scenes import OAI, build, day, issue, withdraw
from tests.conformance.conftest import OWN_SETTINGS
from tests.conformance.standards import SHARED, needs_shared

DC = "{http://purl.org/dc/elements/1.1/}"
RECORD = rb"</header>\s*<metadata>(.*?)</metadata>\s*</record>"
HOST = "oai:data.example.org"
DATASET, STANDING, DELETED = f"{HOST}:dataset", f"{HOST}:release/2", f"{HOST}:release/1"

# Each verb, each error, and values that a schema could stumble over: query -> error, or none.
REQUESTS: list[tuple[dict[str, str], str]] = [
    ({"verb": "Identify"}, ""),
    ({"verb": "ListMetadataFormats"}, ""),
    ({"verb": "ListMetadataFormats", "identifier": STANDING}, ""),
    ({"verb": "ListMetadataFormats", "identifier": DELETED}, "noMetadataFormats"),
    ({"verb": "ListMetadataFormats", "identifier": "oai:x:y"}, "idDoesNotExist"),
    ({"verb": "ListSets"}, "noSetHierarchy"),
    *(
        ({"verb": "GetRecord", "metadataPrefix": prefix, "identifier": identifier}, "")
        for prefix in ("oai_dc", "eml")
        for identifier in (DATASET, STANDING, DELETED)
    ),
    *(
        ({"verb": verb, "metadataPrefix": prefix} | span, "")
        for verb in ("ListRecords", "ListIdentifiers")
        for prefix in ("oai_dc", "eml")
        for span in (
            {},
            {"from": "2025-06-02"},
            {"from": "2025-06-01T00:00:00Z", "until": "2025-06-03T09:30:15Z"},
        )
    ),
    ({}, "badVerb"),
    ({"verb": "<&\">\uffff"}, "badVerb"),
    ({"verb": "Identify", "colour\x00": "red"}, "badArgument"),
    ({"verb": "GetRecord", "metadataPrefix": "eml", "identifier": "no address"}, "badArgument"),
    ({"verb": "ListRecords", "metadataPrefix": "two words"}, "badArgument"),
    ({"verb": "ListRecords", "metadataPrefix": "eml", "from": "2025"}, "badArgument"),
    ({"verb": "ListRecords", "metadataPrefix": "eml", "set": "a:::b"}, "badArgument"),
    ({"verb": "ListRecords", "metadataPrefix": "eml", "set": "a:b"}, "noSetHierarchy"),
    ({"verb": "ListRecords", "metadataPrefix": "a!~*'()"}, "cannotDisseminateFormat"),
    ({"verb": "ListRecords", "metadataPrefix": "eml", "until": "1999-12-31"}, "noRecordsMatch"),
    ({"verb": "ListRecords", "resumptionToken": ""}, "badResumptionToken"),
    ({"verb": "ListRecords", "resumptionToken": " <\x00\uffff\n>&\""}, "badResumptionToken"),
    *(
        ({"verb": "GetRecord", "metadataPrefix": "eml", "identifier": odd}, "idDoesNotExist")
        for odd in (
            "http://example.org", "http://example.org:99999999/a?b", "oai:a:b:c//d",
            "oai:%41", "x:'", "x:!$&'()*+,;=:@/?-._~", "mailto:a@b", "x:/", "x:?", "http://-/",
            "http://...", "http://0.0.0/", "a+b-c.d:e",
        )
    ),
]  # fmt: skip


@dataclass(frozen=True)
class Asked:
    """Answers by the query they were asked with, the pages of split lists among them."""

    answers: dict[str, bytes] = field(default_factory=dict)

    def ask(self, arguments: dict[str, str]) -> Any:
        """Ask, keep the answer, and return its root."""
        query = urlencode(arguments)
        self.answers[query] = Client().get(f"/oai?{query}").content
        return etree.fromstring(self.answers[query])

    def follow(self, arguments: dict[str, str]) -> None:
        """Ask, and go on as long as there is a token."""
        root = self.ask(arguments)
        while token := root.findtext(f".//{OAI}resumptionToken"):
            root = self.ask({"verb": arguments["verb"], "resumptionToken": token})


@pytest.fixture(autouse=True)
def fresh_limits() -> None:
    """Forget the requests of earlier tests, which count against the limit."""
    limits.clear()


@pytest.fixture(scope="module")
def asked(
    django_db_setup: None,  # noqa: ARG001 -- makes the database
    django_db_blocker: DjangoDbBlocker,
) -> Asked:
    """Return the answers to all requests, asked once; the first of five releases is deleted."""
    found = Asked()
    own = OWN_SETTINGS | {"OAI_PAGE_SIZE": 2, "OPEN_REQUESTS_PER_MINUTE": 10_000}
    with django_db_blocker.unblock(), override_settings(**own), transaction.atomic():
        for number in range(1, 6):
            issue(number)
        withdraw(1, day(20))
        for arguments, _ in REQUESTS:
            found.follow(arguments)
        transaction.set_rollback(True)
    return found


def locations() -> dict[str, str]:
    """Return the schemas by namespace: the driver of the kit knows no EML."""
    standards = SHARED / "standards"
    return {
        OAI.strip("{}"): (standards / "oai-pmh" / "OAI-PMH.xsd").as_uri(),
        "http://www.openarchives.org/OAI/2.0/oai_dc/": (
            standards / "oai-pmh" / "oai_dc.xsd"
        ).as_uri(),
        "https://eml.ecoinformatics.org/eml-2.2.0": (standards / "eml-2.2.0" / "eml.xsd").as_uri(),
    }


def driver() -> str:
    imports = "".join(
        f'<xs:import namespace="{namespace}" schemaLocation="{location}"/>'
        for namespace, location in locations().items()
    )
    return f'<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema">{imports}</xs:schema>'


@cache
def libxml_schema() -> Any:
    parser = etree.XMLParser(no_network=True)
    return etree.XMLSchema(etree.fromstring(driver(), parser))


@cache
def python_schema() -> Any:
    return xmlschema.XMLSchema10(driver(), allow="local")


def by_libxml(document: bytes) -> list[str]:
    rules = libxml_schema()
    rules.validate(etree.fromstring(document))
    return [str(violation) for violation in rules.error_log]


def by_python(document: bytes) -> list[str]:
    return [str(violation.reason) for violation in python_schema().iter_errors(document)]


ENGINES: list[Callable[[bytes], list[str]]] = [by_libxml, by_python]


@pytest.mark.parametrize(
    ("arguments", "code"), REQUESTS, ids=[repr(urlencode(query)) for query, _ in REQUESTS]
)
def test_each_request_has_its_answer(asked: Asked, arguments: dict[str, str], code: str) -> None:
    root = etree.fromstring(asked.answers[urlencode(arguments)])

    expected = f"{OAI}error" if code else OAI + arguments["verb"]
    assert [child.tag for child in root] == [f"{OAI}responseDate", f"{OAI}request", expected]
    assert root[2].get("code", "") == code


@needs_shared
def test_requests_meet_every_verb_and_every_error() -> None:
    schema_words = etree.parse(str(SHARED / "standards/oai-pmh/OAI-PMH.xsd"))

    def words(name: str) -> set[str]:
        found = schema_words.xpath(f"//*[@name='{name}']//*[local-name()='enumeration']/@value")
        return set(found)

    assert words("verbType") <= {query.get("verb", "") for query, _ in REQUESTS}
    assert words("OAI-PMHerrorcodeType") == {code for _, code in REQUESTS if code}


@needs_shared
@pytest.mark.parametrize("engine", ENGINES)
def test_every_answer_is_valid_by_the_schemas(
    asked: Asked, engine: Callable[[bytes], list[str]]
) -> None:
    found = {query: engine(document) for query, document in asked.answers.items()}

    assert len(found) > len(REQUESTS), "split lists have more pages"
    assert {query: violations for query, violations in found.items() if violations} == {}


@needs_shared
@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        (b"</responseDate>", b"+01</responseDate>"),
        (b'verb="ListRecords"', b'verb="listRecords"'),
        (b"Z</datestamp>", b"+00:00</datestamp>"),
        (b"dc:title>", b"dc:titel>"),
        (b"<taxonRankValue>", b"<rank>a</rank><taxonRankValue>"),
        (b'xmlns="" ', b""),
    ],
)
def test_schemas_see_planted_faults(
    asked: Asked, engine: Callable[[bytes], list[str]], right: bytes, wrong: bytes
) -> None:
    lists = [
        asked.answers[f"verb=ListRecords&metadataPrefix={prefix}"] for prefix in ("oai_dc", "eml")
    ]
    spoilt = [document.replace(right, wrong) for document in lists if right in document]

    assert spoilt
    assert all(engine(document) for document in spoilt)


@needs_shared
def test_metadata_are_whole_when_taken_out_of_the_answer(asked: Asked) -> None:
    """Harvesters store the metadata alone, so its root declares what it uses."""
    for prefix in ("oai_dc", "eml"):
        document = asked.answers[f"verb=ListRecords&metadataPrefix={prefix}"]
        parts = re.findall(RECORD, document, re.DOTALL)
        assert len(parts) == 2
        assert [by_libxml(part.strip()) for part in parts] == [[], []]


class Answer:
    """An answer as the harvester's HTTP library would give it."""

    def __init__(self, response: Any) -> None:
        self.status_code: int = response.status_code
        self.content: bytes = response.content
        self.headers: dict[str, str] = dict(response.headers)

    def raise_for_status(self) -> None:
        """Refuse what is no answer of the protocol."""
        assert self.status_code == 200


@pytest.fixture
def before_each_page() -> list[Iterator[None]]:
    """Return what goes on while the harvester harvests: a step of each before each answer."""
    return []


@pytest.fixture
def harvester(
    monkeypatch: pytest.MonkeyPatch, settings: Settings, before_each_page: list[Iterator[None]]
) -> Sickle:
    """Return an outside harvester whose requests come here without a socket; three to a page."""
    settings.OAI_PAGE_SIZE = 3
    settings.OPEN_REQUESTS_PER_MINUTE = 10_000

    def get(address: str, params: dict[str, str]) -> Answer:
        for going_on in before_each_page:
            next(going_on)
        return Answer(Client().get(address.removeprefix("https://data.example.org"), params))

    monkeypatch.setattr(app.requests, "get", get)
    return Sickle("https://data.example.org/oai")


Seen = tuple[str, str, bool]


def seen(header: Any) -> Seen:
    return header.identifier, header.datestamp, header.deleted


def stored() -> set[Seen]:
    """Return what the repository holds, by its own words."""
    return {(item.identifier, item.datestamp, item.is_deleted) for item in items()}


@pytest.mark.django_db
@pytest.mark.parametrize("verb", ["ListRecords", "ListIdentifiers"])
@pytest.mark.parametrize("prefix", ["oai_dc", "eml"])
def test_harvester_gets_every_record_once(harvester: Sickle, verb: str, prefix: str) -> None:
    for number in range(1, 9):
        issue(number)
    withdraw(3, day(20))

    found = [
        seen(getattr(entry, "header", entry))
        for entry in getattr(harvester, verb)(metadataPrefix=prefix)
    ]

    assert len(found) == 9
    assert set(found) == stored()
    assert [identifier for identifier, _, deleted in found if deleted] == [f"{HOST}:release/3"]


@pytest.mark.django_db
def test_harvester_reads_who_is_here_and_in_which_formats(harvester: Sickle) -> None:
    issue(1)

    identity = harvester.Identify()
    record = harvester.GetRecord(metadataPrefix="oai_dc", identifier=DATASET)

    assert identity.deletedRecord == "persistent"
    assert identity.earliestDatestamp == "2025-06-01T09:30:15Z"
    assert [one.metadataPrefix for one in harvester.ListMetadataFormats()] == ["oai_dc", "eml"]
    assert record.metadata["type"] == ["Dataset"]


def changes(seed: int) -> Iterator[None]:
    """Change something at each step: a new release, a new build or a release withdrawn whole."""
    chance = random.Random(seed)  # noqa: S311 -- invented data
    numbers = list(range(1, 10))
    acts = ["issue", "withdraw", "build"]
    for step, act in enumerate(chance.sample(acts, 3) + chance.choices(["none", *acts], k=17)):
        at = day(100 + step)
        if act == "issue":
            numbers.append(max(numbers) + 1)
            issue(numbers[-1], at)
        elif act == "build":
            build(chance.choice(numbers), at)
        elif act == "withdraw":
            withdraw(chance.choice(numbers), at)
        yield
    while True:
        yield


@pytest.mark.django_db
@pytest.mark.parametrize("seed", range(8))
def test_harvest_during_changes_gets_every_record_once_or_again_later(
    harvester: Sickle, before_each_page: list[Iterator[None]], seed: int
) -> None:
    for number in range(1, 10):
        issue(number)
    before_each_page.append(changes(seed))

    found = [seen(header) for header in harvester.ListIdentifiers(metadataPrefix="oai_dc")]

    after = stored()
    assert any(deleted for _, _, deleted in after)
    assert any(identifier == f"{HOST}:release/10" for identifier, _, _ in after)
    assert len(found) == len(set(found))
    assert found == sorted(found, key=lambda one: (one[1], one[0])), "again means later"
    assert after <= set(found), "no record is lost, whatever changed"
    assert {one[0] for one in found} == {one[0] for one in after}


@pytest.mark.django_db
@pytest.mark.parametrize("seed", range(4))
def test_incremental_harvests_keep_a_mirror_true(
    harvester: Sickle, before_each_page: list[Iterator[None]], seed: int
) -> None:
    for number in range(1, 10):
        issue(number)
    before_each_page.append(changes(seed))
    mirror: dict[str, tuple[str, bool]] = {}

    for _ in range(6):
        newest = max((stamp for stamp, _ in mirror.values()), default="2025-01-01T00:00:00Z")
        for header in harvester.ListIdentifiers(metadataPrefix="eml", **{"from": newest}):
            mirror[header.identifier] = (header.datestamp, header.deleted)

    assert {(name, *state) for name, state in mirror.items()} == stored()


@pytest.mark.django_db
def test_dublin_core_says_what_eml_says(harvester: Sickle) -> None:
    issue(1)
    issue(2)

    for identifier in (DATASET, STANDING, DELETED):
        core = described(harvester, "oai_dc", identifier)
        eml = described(harvester, "eml", identifier)
        values = {
            name: [element.text for element in core.iter(f"{DC}{name}")]
            for name in {element.tag.removeprefix(DC) for element in core.iter(f"{DC}*")}
        }
        dataset = eml.find(".//dataset")
        bounds = "coverage/geographicCoverage/boundingCoordinates"
        box = f"northlimit={dataset.findtext(f'{bounds}/northBoundingCoordinate')};"
        first = dataset.findtext(".//beginDate/calendarDate")

        assert values["title"] == [dataset.findtext("title")]
        assert values["creator"] == [dataset.findtext("creator/organizationName")]
        assert values["publisher"] == [dataset.findtext("publisher/organizationName")]
        assert values["date"] == [dataset.findtext("pubDate")]
        assert values["language"] == [dataset.findtext("language")]
        assert values["description"] == [dataset.findtext("abstract/para")]
        assert values["subject"] == [word.text for word in dataset.iterfind("keywordSet/keyword")]
        assert values["rights"] == [dataset.findtext("licensed/url")]
        assert box in values["coverage"][0]
        assert f"start={first};" in values["coverage"][1]


def described(harvester: Sickle, prefix: str, identifier: str) -> Any:
    return harvester.GetRecord(metadataPrefix=prefix, identifier=identifier).xml
