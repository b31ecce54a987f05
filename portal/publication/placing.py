"""Where sites are shown: run the blurring over all sites of a release at once."""

from collections.abc import Iterable
from dataclasses import replace

from portal.blurring import (
    Generalisation,
    PrivateSite,
    exact_place,
    generalise,
    place_class,
)
from portal.publication.circumstances import Circumstances
from portal.records.models import OpenedCell, Release
from surveys.protocol.vocabulary import PlaceKind
from surveys.sites.models import Site

_INSTITUTIONAL = {PlaceKind.SCHOOL_GROUND, PlaceKind.PUBLIC_GREEN, PlaceKind.RESERVE}


def unit_of(site: Site) -> str:
    """Return whose place a site is: a household or farm, or the institution behind the group."""
    if site.place_kind in _INSTITUTIONAL:
        return f"group {site.group_id}"
    return f"household {site.group_id}/{site.owner.household}"


def private_site(site: Site, circumstances: Circumstances) -> PrivateSite:
    """Return what the blurring needs of a site."""
    return PrivateSite(
        key=str(site.pk),
        unit=unit_of(site),
        latitude=site.latitude,
        longitude=site.longitude,
        place_kind=site.place_kind,
        consent_level=site.place_detail,
        uncertainty_m=site.uncertainty_m,
        taxon_category=circumstances.taxon_categories.get(site.pk),
    )


def opened_cells() -> dict[str, list[str]]:
    """Return the cells opened so far by place class."""
    cells: dict[str, list[str]] = {}
    for opened in OpenedCell.objects.all():
        cells.setdefault(opened.place_class, []).append(opened.cell)
    return cells


def place_sites(sites: Iterable[Site], circumstances: Circumstances) -> Generalisation:
    """Return the public place of every site that can be shown.

    Sites shown where they are take no part in the grouping of the others.
    """
    exact: list[PrivateSite] = []
    grouped: list[PrivateSite] = []
    for site in sites:
        told = private_site(site, circumstances)
        (exact if circumstances.is_exact(site) else grouped).append(told)
    placed = generalise(grouped, opened_cells(), circumstances.rules)
    shown_exactly = {told.key: exact_place(told, circumstances.rules) for told in exact}
    places = dict(sorted((placed.places | shown_exactly).items()))
    return replace(placed, places=places)


def keep_opened(release: Release, placed: Generalisation) -> None:
    """Store the cells that this release opened."""
    known = {(name, cell) for name, cells in opened_cells().items() for cell in cells}
    OpenedCell.objects.bulk_create(
        OpenedCell(place_class=name, cell=cell, release=release)
        for name, cells in sorted(placed.opened.items())
        for cell in sorted(cells)
        if (name, cell) not in known
    )


def class_of(site: Site) -> str:
    """Return the class within which a site is grouped."""
    return place_class(site.place_kind)
