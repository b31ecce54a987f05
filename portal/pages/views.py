"""Public pages; they read published tables only."""

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from portal.archive.release_files import ARCHIVE, LABELS
from portal.catalogue.citations import FORMATS
from portal.catalogue.entries import Entry, entry_of, standing_files
from portal.catalogue.schema_org import dataset_json_ld, release_json_ld, script_text
from portal.pages.examples import examples
from portal.pages.relations import dataset_links, release_links
from portal.records.models import Release, ReleaseFile
from portal.records.queries import build_of, current_release, rows_of

CHANGELOG = settings.BASE_DIR / "api" / "CHANGES.md"


def home(request: HttpRequest) -> HttpResponse:
    """Show what there is, with an example to copy for each."""
    newest = current_release()
    context = {
        "release": newest,
        "rows": rows_of(newest.number) if newest else {},
        "file": _archive(newest) if newest else None,
        "protocols": _protocols(newest) if newest else [],
        "examples": examples(settings.PUBLIC_URL, newest),
        **_site(),
    }
    return render(request, "pages/home.html", context)


def release(request: HttpRequest, number: int) -> HttpResponse:
    """Show one release: what it holds, how it was made, how to cite it.

    Raises
    ------
    Http404
        If there is no such release.
    """
    found = Release.objects.filter(number=number).first()
    if found is None:
        msg = "No such release."
        raise Http404(msg)
    entry = entry_of(found)
    context = _about(found, entry) | {
        "build": build_of(found),
        "here": found.page,
        "json_ld": script_text(release_json_ld(entry)),
    }
    response = render(request, "pages/release.html", context)
    response["Link"] = release_links(entry.metadata)
    return response


def dataset(request: HttpRequest) -> HttpResponse:
    """Show the dataset as its newest release has it, at an address that never changes.

    Raises
    ------
    Http404
        If no release has been made yet.
    """
    newest = current_release()
    if newest is None:
        msg = "No release has been made yet."
        raise Http404(msg)
    entry = entry_of(newest)
    context = _about(newest, entry) | {"json_ld": script_text(dataset_json_ld(entry))}
    response = render(request, "pages/dataset.html", context)
    response["Link"] = dataset_links(entry.metadata)
    return response


def terms(request: HttpRequest) -> HttpResponse:
    """Show what may be done with the data, and what was withheld and why."""
    return render(request, "pages/terms.html", {"release": current_release(), **_site()})


def protocol(request: HttpRequest, key: str, version: str) -> HttpResponse:
    """Show one protocol with its cautions.

    Raises
    ------
    Http404
        If no release used it.
    """
    for published in Release.objects.order_by("-number"):
        for definition in published.protocols:
            if (definition["key"], definition["version"]) == (key, version):
                context = {"protocol": definition, **_site()}
                return render(request, "pages/protocol.html", context)
    msg = "No release used this protocol."
    raise Http404(msg)


def changes(request: HttpRequest) -> HttpResponse:
    """Show the changelog of the API."""
    text = CHANGELOG.read_text(encoding="utf-8")
    return render(request, "pages/changes.html", {"text": text, **_site()})


def _site() -> dict[str, object]:
    return {"dataset": settings.DATASET, "public_url": settings.PUBLIC_URL}


def _about(release: Release, entry: Entry) -> dict[str, object]:
    """Return what the pages of a release and of the dataset both show."""
    return {
        "release": release,
        "about": entry.metadata,
        "rows": entry.metadata.rows,
        "files": [{"label": LABELS[file.name], "file": file} for file in entry.files],
        "citations": FORMATS,
        "protocols": _protocols(release),
        "releases": Release.objects.order_by("-number"),
        **_site(),
    }


def _archive(release: Release) -> ReleaseFile | None:
    return next((file for file in standing_files(release) if file.name == ARCHIVE), None)


def _protocols(release: Release) -> list[dict[str, str]]:
    return [
        {name: definition[name] for name in ("key", "version", "title", "summary")}
        for definition in release.protocols
    ]
