"""Every address of the site: to which face it belongs, and examples of the open ones.

A new address must be listed here before the tests let it in.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver

UNKNOWN = "7f3c2f4e-6a5e-4a5e-9d0a-0a4f6d9e1b11"


@dataclass(frozen=True)
class Door:
    """The face of an address, and examples with places for ids."""

    face: str
    examples: tuple[str, ...] = ()


def _collection(name: str) -> tuple[str, ...]:
    base = f"/api/v1/{name}"
    return (
        f"{base}?limit=3",
        f"{base}?f=csv&release=1",
        f"{base}?habitat=lawn&sort=-sampled_on&bbox=-1,52,0,53&group_code=QVD&site_id={{site}}",
        f"{base}?latitude=1",
        f"{base}?cursor=garbage",
        f"{base}?release=99",
        f"{base}?site__owner__name=x",
    )


def _record(name: str, kind: str) -> tuple[str, ...]:
    base = f"/api/v1/{name}"
    return (
        f"{base}/{{{kind}}}",
        f"{base}/{{{kind}}}?release=2",
        f"{base}/{UNKNOWN}",
        f"{base}/{{gone}}",
    )


_SIDES = "by=habitat&first=lawn&second=flower bed"
_CONTRAST = (f"?{_SIDES}", f"?{_SIDES}&f=csv", "", "?by=household")
DOORS: dict[str, Door] = {
    "": Door("page", ("/",)),
    "docs": Door("page", ("/docs", "/docs?script=")),
    "releases/<int:number>": Door("page", ("/releases/1", "/releases/2", "/releases/99")),
    "protocols/<str:key>/<str:version>": Door(
        "page", ("/protocols/contrast-pit/2", "/protocols/contrast-pit/9")
    ),
    "snapshots/<str:snapshot_id>": Door("page", ("/snapshots/{snapshot}", "/snapshots/nothing")),
    "dataset": Door("page", ("/dataset",)),
    "sitemap.xml": Door("page", ("/sitemap.xml",)),
    "robots.txt": Door("page", ("/robots.txt",)),
    "terms": Door("page", ("/terms",)),
    "changes": Door("page", ("/changes",)),
    "problems/<str:code>": Door(
        "page", ("/problems/gone", "/problems/count-out-of-range", "/problems/nothing")
    ),
    "api/v1": Door("open", ("/api/v1", "/api/v1?colour=red")),
    "api/v1/openapi.json": Door("open", ("/api/v1/openapi.json",)),
    "api/v1/visits": Door("open", _collection("visits")),
    "api/v1/visits/<uuid:record_id>": Door("open", _record("visits", "visit")),
    "api/v1/pits": Door("open", _collection("pits")),
    "api/v1/pits/<uuid:record_id>": Door("open", _record("pits", "pit")),
    "api/v1/counts": Door("open", _collection("counts")),
    "api/v1/counts/<uuid:record_id>": Door("open", _record("counts", "count")),
    "api/v1/occurrences": Door("open", _collection("occurrences")),
    "api/v1/summary": Door(
        "open",
        (
            "/api/v1/summary?by=habitat,season,cell",
            "/api/v1/summary?by=month&f=csv",
            "/api/v1/summary?by=household",
        ),
    ),
    "api/v1/comparison": Door("open", tuple(f"/api/v1/comparison{q}" for q in _CONTRAST)),
    "api/v1/agreement": Door(
        "open", ("/api/v1/agreement", "/api/v1/agreement?release=1", "/api/v1/agreement?by=x")
    ),
    "api/v1/planning/power": Door("open", tuple(f"/api/v1/planning/power{q}" for q in _CONTRAST)),
    "api/v1/planning/where": Door(
        "open", ("/api/v1/planning/where", "/api/v1/planning/where?near=52,-1")
    ),
    "api/v1/snapshots": Door("freezing"),
    "api/v1/snapshots/<str:snapshot_id>": Door(
        "open",
        (
            "/api/v1/snapshots/{snapshot}",
            "/api/v1/snapshots/{snapshot}?cursor=garbage",
            "/api/v1/snapshots/nothing",
        ),
    ),
    "api/v1/snapshots/<str:snapshot_id>/rows": Door(
        "open",
        (
            "/api/v1/snapshots/{snapshot}/rows?limit=3",
            "/api/v1/snapshots/{snapshot}/rows?f=ndjson&limit=all",
        ),
    ),
    "api/v1/snapshots/<str:snapshot_id>/check": Door(
        "open", ("/api/v1/snapshots/{snapshot}/check",)
    ),
    "api/v1/snapshots/<str:snapshot_id>/citation": Door(
        "open", ("/api/v1/snapshots/{snapshot}/citation?f=bib",)
    ),
    "api/v1/fields": Door("open", ("/api/v1/fields",)),
    "api/v1/fields/<str:name>": Door("open", ("/api/v1/fields/cell", "/api/v1/fields/owner")),
    "api/v1/vocabularies": Door("open", ("/api/v1/vocabularies", "/api/v1/vocabularies?lang=de")),
    "api/v1/vocabularies/<str:name>": Door(
        "open", ("/api/v1/vocabularies/habitat", "/api/v1/vocabularies/owners")
    ),
    "api/v1/groups": Door("open", ("/api/v1/groups", "/api/v1/groups?release=1")),
    "api/v1/status": Door("open", ("/api/v1/status",)),
    "features": Door("open", ("/features", "/features?f=html", "/features?colour=red")),
    "features/conformance": Door("open", ("/features/conformance",)),
    "features/api": Door("open", ("/features/api", "/features/api?f=html")),
    "features/collections": Door("open", ("/features/collections?release=1",)),
    "features/collections/<str:name>": Door(
        "open", ("/features/collections/pits", "/features/collections/owners")
    ),
    "features/collections/<str:name>/schema": Door("open", ("/features/collections/pits/schema",)),
    "features/collections/<str:name>/items": Door(
        "open",
        (
            "/features/collections/visits/items?limit=3&f=html",
            "/features/collections/pits/items?habitat=lawn&bbox=-1,52,0,53&release=1",
            "/features/collections/occurrences/items?datetime=2020-01-01/..",
            "/features/collections/pits/items?site__owner__name=x",
        ),
    ),
    "features/collections/<str:name>/items/<uuid:record_id>": Door(
        "open",
        (
            "/features/collections/visits/items/{visit}",
            "/features/collections/pits/items/{pit}?f=html",
            "/features/collections/occurrences/items/{count}",
            "/features/collections/visits/items/{gone}",
            f"/features/collections/visits/items/{UNKNOWN}",
        ),
    ),
    "api/v1/releases": Door("harvest", ("/api/v1/releases",)),
    "api/v1/releases/<int:number>": Door(
        "harvest", ("/api/v1/releases/1", "/api/v1/releases/2", "/api/v1/releases/99")
    ),
    "api/v1/releases/<int:number>/changes": Door(
        "harvest", ("/api/v1/releases/1/changes", "/api/v1/releases/2/changes?f=ndjson")
    ),
    "api/v1/releases/<int:number>/quality": Door(
        "harvest",
        (
            "/api/v1/releases/1/quality",
            "/api/v1/releases/2/quality?colour=red",
            "/api/v1/releases/99/quality",
        ),
    ),
    "api/v1/changes": Door(
        "harvest",
        ("/api/v1/changes", "/api/v1/changes?limit=2", "/api/v1/changes?since=garbage"),
    ),
    "api/v1/harvesters": Door("harvester"),
    "api/v1/harvesters/me": Door("harvester"),
    "api/v1/harvesters/me/acknowledgements": Door("harvester"),
    "releases/<int:number>/citation": Door(
        "harvest",
        (
            "/releases/1/citation",
            "/releases/2/citation?f=csl",
            "/releases/99/citation",
            "/releases/1/citation?f=xml",
        ),
    ),
    "catalogue": Door("harvest", ("/catalogue", "/catalogue?f=ttl", "/catalogue?colour=red")),
    "files/<int:release>/<int:build>/<str:name>": Door(
        "harvest",
        (
            "/files/2/2/archive.zip",
            "/files/2/2/counts.csv",
            "/files/1/1/archive.zip",
            "/files/1/1/nothing",
        ),
    ),
    "id/<str:kind>/<uuid:record_id>": Door(
        "harvest",
        (
            "/id/visit/{visit}",
            "/id/pit/{pit}",
            "/id/occurrence/{count}",
            "/id/site/{site}",
            "/id/phase/{phase}",
            "/id/visit/{gone}",
            f"/id/visit/{UNKNOWN}",
            f"/id/household/{UNKNOWN}",
        ),
    ),
    "my/<str:token>": Door("personal"),
    "my/<str:token>/withdrawal": Door("personal"),
    "my/<str:token>/withdrawn": Door("personal"),
    "my/<str:token>/data.json": Door("personal"),
    "my/<str:token>/taking-back": Door("personal"),
    "my/<str:token>/erasure": Door("personal"),
    "my/<str:token>/receipts.json": Door("personal"),
    "oai": Door(
        "harvest",
        (
            "/oai?verb=Identify",
            "/oai?verb=ListRecords&metadataPrefix=oai_dc",
            "/oai?verb=ListRecords&metadataPrefix=eml",
            "/oai?verb=ListSets",
            "/oai",
            "/oai?verb=ListRecords&resumptionToken=garbage",
        ),
    ),
    "api/v1/partner/me": Door("partner"),
    "api/v1/partner/export": Door("partner"),
    "api/v1/partner/tokens": Door("partner"),
    "api/v1/partner/tokens/<str:prefix>": Door("partner"),
    "api/v1/partner/tokens/<str:prefix>/rotation": Door("partner"),
    "api/v1/partner/practice": Door("partner"),
    "api/v1/partner/submissions": Door("partner"),
    "api/v1/partner/submissions/<uuid:key>": Door("partner"),
    "api/v1/partner/submissions/<uuid:key>/faults": Door("partner"),
    "api/v1/partner/protocols": Door("partner"),
    "api/v1/partner/uploads": Door("partner"),
    "api/v1/partner/jobs/<uuid:key>": Door("partner"),
    "api/v1/partner/jobs/<uuid:key>/confirmation": Door("partner"),
    "api/v1/partner/jobs/<uuid:key>/errors": Door("partner"),
    "api/v1/partner/jobs/<uuid:key>/sheet": Door("partner"),
    "api/v1/partner/templates": Door("partner"),
    "api/v1/partner/templates/<str:key>/<str:version>/<str:name>": Door("partner"),
    "api/v1/protocols/<str:key>/<str:version>/schema": Door("shape"),
    "api/v1/partner/corrections": Door("partner"),
    "api/v1/partner/visits": Door("partner"),
    "api/v1/partner/visits/<str:client_ref>": Door("partner"),
    "api/v1/partner/visits/<str:client_ref>/withdrawal": Door("partner"),
    "api/v1/partner/visits/<str:client_ref>/appeal": Door("partner"),
    "api/v1/partner/visits/<str:client_ref>/quality": Door("partner"),
    "api/v1/partner/visits/<str:client_ref>/result": Door("partner"),
    "api/v1/partner/visits/<str:client_ref>/photos": Door("partner"),
    "api/v1/partner/visits/<str:client_ref>/photos/<uuid:key>": Door("partner"),
    "api/v1/partner/participants/<str:code>": Door("partner"),
    "api/v1/partner/participants/<str:code>/withdrawal": Door("partner"),
    "api/v1/partner/participants/<str:code>/consents": Door("partner"),
    "api/v1/partner/consent-statements": Door("partner"),
    "api/v1/partner/participants/<str:code>/link": Door("partner"),
    "api/v1/partner/participants/<str:code>/reliability": Door("partner"),
    "api/v1/partner/sites/<str:code>": Door("partner"),
    "api/v1/partner/sites/<str:code>/exact-permission": Door("partner"),
    "api/v1/review/waiting": Door("review"),
    "api/v1/review/reasons": Door("review"),
    "api/v1/review/visits/<str:group_code>/<str:client_ref>": Door("review"),
    "api/v1/review/visits/<str:group_code>/<str:client_ref>/claim": Door("review"),
    "api/v1/review/visits/<str:group_code>/<str:client_ref>/decision": Door("review"),
    "api/v1/review/visits/<str:group_code>/<str:client_ref>/note": Door("review"),
    "api/v1/review/visits/<str:group_code>/<str:client_ref>/note/approval": Door("review"),
    "api/v1/review/agreement": Door("review"),
    "api/v1/review/doubles": Door("review"),
    "api/v1/review/doubles/<int:number>/verdict": Door("review"),
    "api/v1/review/check-settings": Door("review"),
    "api/v1/review/photos": Door("review"),
    "api/v1/review/photos/<uuid:key>/file": Door("review"),
    "api/v1/review/photos/<uuid:key>/decision": Door("review"),
    "api/v1/review/releases": Door("review"),
    "api/v1/review/calibrations/results": Door("review"),
    "api/v1/review/confusion": Door("review"),
    "api/v1/partner/calibrations": Door("partner"),
    "api/v1/partner/calibrations/results": Door("partner"),
    "api/v1/partner/calibrations/<str:client_ref>": Door("partner"),
    "api/v1/review/harvesters": Door("review"),
    "api/v1/partner/grants": Door("partner"),
    "api/v1/partner/grants/<uuid:key>/veto": Door("partner"),
    "api/v1/partner/participants/<str:code>/exact-reads": Door("partner"),
    "api/v1/vetted/places": Door("vetted"),
    "api/v1/review/grants": Door("review"),
    "api/v1/review/grants/<uuid:key>/end": Door("review"),
    "api/v1/review/sensitive-taxa": Door("review"),
    "api/v1/review/generalisation-rules": Door("review"),
    "api/v1/review/generalisation-rules/<int:number>/confirmation": Door("review"),
}
PUBLIC_FACES = ("page", "open", "harvest")


def routes() -> Iterator[tuple[str, URLPattern]]:
    """Yield every address of the site as it is written, with its view."""
    yield from _below(get_resolver(), "")


def _below(resolver: URLResolver, prefix: str) -> Iterator[tuple[str, URLPattern]]:
    for entry in resolver.url_patterns:
        route = prefix + str(entry.pattern)
        if isinstance(entry, URLResolver):
            yield from _below(entry, route)
        else:
            yield route, entry


def view_class(entry: URLPattern) -> Any:
    """Return the class behind an address, or nothing for a plain function."""
    return getattr(entry.callback, "cls", None)


def public_addresses(ids: dict[str, str]) -> list[str]:
    """Return every example of a public face, with these ids in their places."""
    return [
        example.format(**ids)
        for door in DOORS.values()
        if door.face in PUBLIC_FACES
        for example in door.examples
    ]
