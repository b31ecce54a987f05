"""Make a release, and take records out of every release at once."""

from collections.abc import Iterable
from datetime import datetime

from django.conf import settings
from django.db import transaction
from django.db.models import QuerySet

from portal.archive.edition import edition_of
from portal.archive.licences import licence
from portal.blurring import Generalisation, GeneralisationRules
from portal.publication.beside import Beside, beside_rows
from portal.publication.changed_places import withdraw_moving
from portal.publication.circumstances import circumstances_at
from portal.publication.columns import (
    Columns,
    Context,
    filter_text,
    found_in,
    habitat_of,
    pit_columns,
    step_columns,
    visit_columns,
)
from portal.publication.credits import credit_groups
from portal.publication.eligibility import (
    eligible_visits,
    lapsed_visits,
    practice_visits,
    shown_without_consent,
    with_parts,
)
from portal.publication.files import build_files, retire_files
from portal.publication.lapsing import hide_lapsed
from portal.publication.minting import Mint, mint_ids, random_id
from portal.publication.models import SitePlacement
from portal.publication.placing import class_of, keep_opened, place_sites, unit_of
from portal.publication.quality import quality_of
from portal.publication.rule_settings import RulesInForce, rules_in_force
from portal.publication.settling import settle, take_back
from portal.publication.sight import hidden_now, note_shown_again, unhide
from portal.publication.versions import IdWithdrawn, Span, Table, VersionWriter, releases_in
from portal.records.models import PublishedCount, PublishedPit, PublishedVisit, Release
from portal.records.operations import add_entry, hold_feed, prepare_documents
from surveys.audit.operations import record
from surveys.protocol.definition import Protocol
from surveys.sites.models import Site
from surveys.visits.models import Visit

CHUNK = 200


class ReleaseRefused(Exception):  # noqa: N818 -- reads as what happened
    """A release would break a promise; the message says which."""


@transaction.atomic
def make_release(
    *,
    at: datetime,
    by: str,
    mint: Mint = random_id,
) -> Release:
    """Publish what is accepted and consented at an instant as the next release.

    Readers see the release before it until this transaction and its files are complete.

    Raises
    ------
    ReleaseRefused
        If a row would be shown without its recorder's consent or from practice, a record breaks a
        data-quality test that must hold, its id was withdrawn, or the instant lies before the
        last release.
    """
    hold_feed()
    rules = rules_in_force(at)
    _refuse_to_go_back(at)
    withdraw_moving(at=at, by=by)
    hide_lapsed(at=at, by=by)
    release = _new_release(at, rules)
    visits = eligible_visits(at)
    sites = Site.objects.filter(visits__in=visits).select_related("owner").distinct()
    placed = place_sites(sites, circumstances_at(at, rules.rules))
    shown = visits.filter(site__in=[int(key) for key in placed.places])
    _refuse_what_must_not_be_shown(at, shown)
    _describe(release, shown)
    out_of_sight = hidden_now()
    beside = beside_rows(shown, placed, rules.rules, at)
    try:
        reshown = _write_rows(release, shown, placed, beside, mint)
    except IdWithdrawn as error:
        raise ReleaseRefused(str(error)) from error
    entry = add_entry(at=at, release=release)
    note_shown_again(entry, out_of_sight)
    _keep_places(release, placed)
    _judge(release)
    taken_back = take_back(beside, entry)
    taken_back |= settle(reshown | taken_back, entry)
    prepare_documents()
    _build({(release.number, None)} | reshown, taken_back, at)
    release.refresh_from_db(fields=["credits"])
    record(actor=by, action="release made", kind="release", key=str(release.number), at=at)
    return release


def _refuse_to_go_back(at: datetime) -> None:
    last = Release.objects.order_by("-number").first()
    if last is not None and at <= last.issued_at:
        msg = f"Release {last.number} was issued at {last.issued_at:%Y-%m-%d}; go forward only."
        raise ReleaseRefused(msg)


def _refuse_what_must_not_be_shown(at: datetime, shown: QuerySet[Visit]) -> None:
    if shown_without_consent(at, shown):
        msg = "A record would be published without its recorder's consent."
        raise ReleaseRefused(msg)
    if practice_visits(shown):
        msg = "A practice record would be published."
        raise ReleaseRefused(msg)


def _new_release(at: datetime, rules: RulesInForce) -> Release:
    last = Release.objects.order_by("-number").first()
    number = last.number + 1 if last else 1
    return Release.objects.create(
        number=number,
        issued_at=at,
        title=settings.DATASET["name"],
        rights_holder=settings.DATASET["rights_holder"],
        licence_id=settings.RELEASE_LICENCE,
        licence_url=licence(settings.RELEASE_LICENCE).legal_text,
        rules=rules.as_published(),
    )


def _describe(release: Release, shown: Iterable[Visit]) -> None:
    visits = list(shown)
    release.protocols = [
        version.definition for version in sorted({visit.protocol for visit in visits}, key=str)
    ]
    release.save(update_fields=["protocols"])


def _build(more_shown: set[Span], taken_back: set[Span], at: datetime) -> None:
    """Build files; old ones go at once that tell what was taken back."""
    for release in releases_in(taken_back):
        retire_files(release, at=at)
    for release in releases_in(more_shown | taken_back):
        credit_groups(release)
        build_files(release, at=at)


def _judge(release: Release) -> None:
    release.quality, stopping = quality_of(release)
    if stopping:
        msg = f"Records break data-quality tests that must hold: {', '.join(sorted(stopping))}."
        raise ReleaseRefused(msg)
    release.save(update_fields=["quality"])


def _write_rows(
    release: Release, shown: QuerySet[Visit], placed: Generalisation, beside: Beside, mint: Mint
) -> set[Span]:
    """Write what changed; returns the spans of releases in which hidden rows stand again."""
    writers: dict[Table, VersionWriter] = {
        table: VersionWriter(table, release)
        for table in (PublishedVisit, PublishedPit, PublishedCount)
    }
    rules = GeneralisationRules.from_dict(release.rules)
    protocols: dict[int, Protocol] = {}
    edition = edition_of(release)
    site_ids = set()
    keys = [visit.pk for visit in shown]
    for start in range(0, len(keys), CHUNK):
        chunk = Visit.objects.filter(pk__in=keys[start : start + CHUNK]).order_by("id")
        for visit in with_parts(chunk):
            mint_ids(visit, mint)
            place = placed.places[str(visit.site_id)]
            context = Context(
                place=place,
                protocol=protocols.setdefault(visit.protocol_id, visit.protocol.read()),
                group_code=beside.group_code(visit),
                rules=rules,
                edition=edition,
                recorder=beside.recorder(visit, place.cell),
                wording=beside.wording(visit, place.cell),
            )
            _take_visit(writers, visit, context)
            site_ids.add(visit.site.public_id)
    reshown: set[Span] = set()
    for table, writer in writers.items():
        writer.write()
        reshown |= unhide(table, site_ids, lapsed_visits(release.issued_at))
    return reshown


def _take_visit(writers: dict[Table, VersionWriter], visit: Visit, context: Context) -> None:
    pits = [pit for pit in visit.pits.all() if pit.revision == visit.revision]
    shared = visit_columns(visit, pits, context)
    habitats = [habitat_of(pit, context.wording) for pit in pits]
    own: Columns = {"id": visit.public_id, "pits": len(pits), "habitats": habitats}
    own["habitats_text"] = filter_text(habitats)
    writers[PublishedVisit].take(shared | own)
    for pit in pits:
        pit_shared = shared | pit_columns(pit, context.wording)
        writers[PublishedPit].take(pit_shared | {"id": pit.public_id, "found": found_in(pit)})
        for phase in pit.phases.all():
            for line in step_columns(phase, pit_shared, context):
                writers[PublishedCount].take(line)


def _keep_places(release: Release, placed: Generalisation) -> None:
    """Keep where each shown site is; one that is not shown now may stand in earlier releases."""
    keep_opened(release, placed)
    sites = Site.objects.filter(pk__in=[int(key) for key in placed.places]).select_related("owner")
    SitePlacement.objects.bulk_create(
        (
            SitePlacement(
                site_id=site.public_id,
                place_class=class_of(site),
                unit=unit_of(site),
                cell=placed.places[str(site.pk)].cell,
            )
            for site in sites
            if site.public_id is not None
        ),
        update_conflicts=True,
        unique_fields=["site_id"],
        update_fields=["place_class", "unit", "cell"],
    )
