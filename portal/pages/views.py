"""Public pages; they read published tables only."""

from django.conf import settings
from django.db.models import Max
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render

from portal.archive.release_files import ARCHIVE, LABELS
from portal.pages.examples import examples
from portal.records.models import Release
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
    context = {
        "release": found,
        "build": build_of(found),
        "rows": rows_of(number),
        "files": _files(found),
        "protocols": _protocols(found),
        "releases": Release.objects.order_by("-number"),
        **_site(),
    }
    return render(request, "pages/release.html", context)


def dataset(request: HttpRequest) -> HttpResponse:
    """Lead from the permanent address of the dataset to its current release.

    Raises
    ------
    Http404
        If no release has been made yet.
    """
    del request
    newest = current_release()
    if newest is None:
        msg = "No release has been made yet."
        raise Http404(msg)
    return HttpResponseRedirect(f"{settings.PUBLIC_URL}/releases/{newest.number}", status=303)


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


def _files(release: Release) -> list[dict[str, object]]:
    """Return the files of the newest build that stands, the archive first."""
    standing = release.files.filter(gone_at__isnull=True)
    newest = standing.aggregate(build=Max("build"))["build"]
    by_name = {file.name: file for file in standing.filter(build=newest)}
    return [
        {"label": label, "file": by_name[name]} for name, label in LABELS.items() if name in by_name
    ]


def _archive(release: Release) -> object:
    standing = release.files.filter(gone_at__isnull=True, name=ARCHIVE)
    return standing.order_by("-build").first()


def _protocols(release: Release) -> list[dict[str, str]]:
    return [
        {name: definition[name] for name in ("key", "version", "title", "summary")}
        for definition in release.protocols
    ]
