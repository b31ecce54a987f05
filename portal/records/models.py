"""The public tables: three flat ones of versioned rows, releases, files and tombstones.

A count row carries its pit's and visit's columns, a pit row its visit's, so that open
questions never join. A row version is visible in every release from ``since_release`` up to,
but not including, ``until_release``.
"""

from datetime import UTC
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Cast, Floor
from django.utils.functional import cached_property

from portal.records.documents import document_of
from portal.records.doi import doi_address
from portal.records.indexes import count_indexes, pit_indexes, visit_indexes
from portal.records.row_sets import RowManager


class Release(models.Model):
    """A numbered, immutable state of the public data."""

    number = models.PositiveIntegerField(primary_key=True)
    issued_at = models.DateTimeField()
    title = models.CharField(max_length=200)
    rights_holder = models.CharField(max_length=200)
    doi = models.CharField(max_length=200, blank=True)
    doi_set_at = models.DateTimeField(null=True, blank=True)
    licence_id = models.CharField(max_length=20)
    licence_url = models.CharField(max_length=200)
    rules = models.JSONField(help_text="Generalisation rules in force.")
    credits = models.JSONField(default=list, help_text="Credited groups: code, name, visits.")
    protocols = models.JSONField(default=list, help_text="Protocols as published.")
    quality = models.JSONField(default=dict, help_text="Data-quality tallies.")

    class Meta:
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(condition=Q(number__gte=1), name="release_number_from_one"),
            models.UniqueConstraint(fields=["doi"], condition=~Q(doi=""), name="release_doi_once"),
            models.CheckConstraint(
                condition=Q(doi="", doi_set_at__isnull=True)
                | (~Q(doi="") & Q(doi_set_at__isnull=False)),
                name="release_doi_with_instant",
            ),
        ]

    def __str__(self) -> str:
        return f"release {self.number}"

    @cached_property
    def newest_build(self) -> int:
        """Return the newest build as it was when first asked for; 0 before the first."""
        newest: int | None = self.files.aggregate(newest=models.Max("build"))["newest"]
        return newest or 0

    @property
    def page(self) -> str:
        """Return the address of the page about the release."""
        return f"{settings.PUBLIC_URL}/releases/{self.number}"

    @property
    def cited_doi(self) -> str:
        """Return the DOI to cite: the release's own, else the dataset's, else none."""
        return self.doi or settings.DATASET_DOI

    @property
    def cited_at(self) -> str:
        """Return the address to cite: that of the DOI, if there is one, else the page."""
        return doi_address(self.cited_doi) if self.cited_doi else self.page

    @property
    def citation(self) -> str:
        """Return how to cite the release."""
        head = f"{self.rights_holder} ({self.issued_at.astimezone(UTC).year}). {self.title}."
        return f"{head} Release {self.number}. {self.cited_at}"


class RowVersion(models.Model):
    """What every published row version has."""

    row = models.BigAutoField(primary_key=True)
    id = models.UUIDField(help_text="Permanent public id.")
    since_release = models.PositiveIntegerField()
    until_release = models.PositiveIntegerField(null=True, blank=True)
    hidden = models.BooleanField(
        default=False, help_text="Not shown until its place is shared by enough others again."
    )
    modified_at = models.DateTimeField(help_text="Instant of the release that opened the version.")
    document = models.TextField(  # noqa: DJ001 -- null is none yet
        null=True, blank=True, editable=False, help_text="The row as it is answered, in JSON."
    )

    objects = RowManager()

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return f"{self.id} since {self.since_release}"

    def save(self, *args: Any, **options: Any) -> None:
        """Store the row with its document."""
        self.document = document_of(self)
        names = options.get("update_fields")
        if names is not None:
            options["update_fields"] = {*names, "document"}
        super().save(*args, **options)


class VisitColumns(models.Model):
    """Public columns of a visit and of its place."""

    visit_id = models.UUIDField()
    site_id = models.UUIDField()
    group_code = models.CharField(max_length=20, null=True, blank=True)  # noqa: DJ001 -- null is unknown
    sampled_on = models.CharField(max_length=10, help_text="YYYY-MM-DD, or YYYY-MM if coarsened.")
    sampled_first_on = models.DateField()
    sampled_last_on = models.DateField()
    date_precision = models.CharField(max_length=5)
    season = models.CharField(max_length=10)
    protocol = models.CharField(max_length=70)
    paired = models.BooleanField()
    people_digging = models.PositiveIntegerField(null=True, blank=True)
    recorded_by = models.CharField(max_length=100, null=True, blank=True)  # noqa: DJ001 -- null is anonymous
    recorded_by_id = models.CharField(max_length=40, null=True, blank=True)  # noqa: DJ001 -- null is none
    country_code = models.CharField(max_length=2, null=True, blank=True)  # noqa: DJ001 -- null is unknown
    latitude = models.FloatField(null=True, blank=True)
    longitude = models.FloatField(null=True, blank=True)
    cell = models.CharField(max_length=40)
    cell_level = models.PositiveSmallIntegerField()
    degree_cell = models.GeneratedField(
        expression=Cast(
            Floor(F("latitude") + 90) * 360 + Floor(F("longitude") + 180), models.IntegerField()
        ),
        output_field=models.IntegerField(null=True),
        db_persist=True,
        help_text="Number of the cell of one degree, for boxes.",
    )
    uncertainty_m = models.PositiveIntegerField(null=True, blank=True)
    precision_deg = models.FloatField(null=True, blank=True)
    footprint_wkt = models.CharField(max_length=200, blank=True)
    georeference_protocol = models.CharField(max_length=400)
    data_generalizations = models.CharField(max_length=400)
    information_withheld = models.CharField(max_length=400)
    verification = models.CharField(max_length=40)
    remarks = models.TextField(blank=True)

    class Meta:
        abstract = True


class PitColumns(VisitColumns):
    """Public columns of a pit."""

    pit_id = models.UUIDField()
    habitat = models.CharField(max_length=40)
    management = models.JSONField(null=True, blank=True)
    management_text = models.CharField(max_length=200, blank=True, help_text="For filtering.")
    management_state = models.CharField(max_length=15)
    width_cm = models.FloatField()
    length_cm = models.FloatField()
    depth_cm = models.FloatField()
    area_m2 = models.FloatField()
    sorting_minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    sorted_to_end = models.BooleanField(null=True, blank=True)
    hand_sort = models.CharField(max_length=15)
    expellant = models.CharField(max_length=15)
    expellant_agent = models.CharField(max_length=60, null=True, blank=True)  # noqa: DJ001 -- null is unknown
    expellant_ml = models.PositiveIntegerField(null=True, blank=True)
    expellant_wait_min = models.PositiveSmallIntegerField(null=True, blank=True)
    effort_known = models.BooleanField()
    moisture = models.CharField(max_length=40, null=True, blank=True)  # noqa: DJ001 -- null is unknown
    fizz = models.CharField(max_length=40, null=True, blank=True)  # noqa: DJ001 -- null is unknown
    fizz_acid = models.CharField(max_length=60, null=True, blank=True)  # noqa: DJ001 -- null is unknown
    texture = models.CharField(max_length=40, null=True, blank=True)  # noqa: DJ001 -- null is unknown
    texture_key = models.CharField(max_length=60, null=True, blank=True)  # noqa: DJ001 -- null is unknown
    colour = models.CharField(max_length=40, null=True, blank=True)  # noqa: DJ001 -- null is unknown
    colour_state = models.CharField(max_length=60, null=True, blank=True)  # noqa: DJ001 -- null is unknown

    class Meta:
        abstract = True


def _version_rules(table: str) -> list[models.BaseConstraint]:
    return [
        models.UniqueConstraint(fields=["id", "since_release"], name=f"{table}_version_once"),
        models.UniqueConstraint(
            fields=["id"], condition=Q(until_release__isnull=True), name=f"{table}_one_open_version"
        ),
        models.CheckConstraint(
            condition=Q(until_release__isnull=True) | Q(until_release__gt=F("since_release")),
            name=f"{table}_version_in_order",
        ),
        models.CheckConstraint(
            condition=Q(latitude__isnull=True, longitude__isnull=True, uncertainty_m__isnull=True)
            | Q(
                # said in so many words, for a comparison with null lets a row pass
                latitude__isnull=False,
                longitude__isnull=False,
                uncertainty_m__isnull=False,
                latitude__gte=-90,
                latitude__lte=90,
                longitude__gte=-180,
                longitude__lte=180,
                uncertainty_m__gte=1,
            ),
            name=f"{table}_place_whole",
        ),
    ]


class PublishedVisit(RowVersion, VisitColumns):
    """One version of a published visit."""

    pits = models.PositiveSmallIntegerField()
    habitats = models.JSONField()
    habitats_text = models.CharField(max_length=500, help_text="For filtering.")

    class Meta:
        constraints = _version_rules("pubvisit")
        indexes = visit_indexes("pubvisit")


class PublishedPit(RowVersion, PitColumns):
    """One version of a published pit."""

    found = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        constraints = _version_rules("pubpit")
        indexes = pit_indexes("pubpit")


class PublishedCount(RowVersion, PitColumns):
    """One version of a published count: pit x group or taxon x stage x extraction step."""

    method = models.CharField(max_length=20)
    phase_id = models.UUIDField(help_text="Permanent public id of the extraction phase.")
    group = models.CharField(max_length=20)
    stage = models.CharField(max_length=20)
    taxon = models.CharField(max_length=120, null=True, blank=True)  # noqa: DJ001 -- null is none
    coarse_taxon = models.CharField(max_length=120)
    state = models.CharField(max_length=20)
    number = models.PositiveIntegerField(null=True, blank=True)
    number_recorded = models.PositiveIntegerField(null=True, blank=True)
    occurrence_status = models.CharField(  # noqa: DJ001 -- null is neither
        max_length=7, null=True, blank=True, help_text="Null: a zero beside finds, or no count."
    )

    class Meta:
        constraints = [
            *_version_rules("pubcount"),
            models.CheckConstraint(
                condition=Q(state="counted", number__isnull=False)
                | (~Q(state="counted") & Q(number__isnull=True)),
                name="pubcount_number_with_state",
            ),
            models.CheckConstraint(
                condition=Q(occurrence_status="present", number__isnull=False, number__gt=0)
                | Q(occurrence_status="absent", number__isnull=False, number=0)
                | (Q(occurrence_status__isnull=True) & (Q(number__isnull=True) | Q(number=0))),
                name="pubcount_status_with_number",
            ),
        ]
        indexes = count_indexes("pubcount")


class ChangeEntry(models.Model):
    """One act that changed what readers see, a release or a withdrawal; numbered without gaps."""

    number = models.PositiveBigIntegerField(primary_key=True)
    release = models.OneToOneField(
        Release, on_delete=models.PROTECT, null=True, blank=True, related_name="entry"
    )
    at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "change entries"
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(condition=Q(number__gte=1), name="entry_number_from_one"),
        ]

    def __str__(self) -> str:
        return f"change {self.number}"


class HidingNote(models.Model):
    """That a record left sight (``removed``), came back (``added``), lost a name (``changed``)."""

    entry = models.ForeignKey(ChangeEntry, on_delete=models.CASCADE, related_name="hiding_notes")
    kind = models.CharField(max_length=20)
    record = models.UUIDField(help_text="Permanent public id.")
    change = models.CharField(max_length=10)

    class Meta:
        ordering = ["entry", "kind", "record"]
        constraints = [
            models.UniqueConstraint(
                fields=["entry", "kind", "record"], name="hiding_noted_once_an_entry"
            ),
            models.CheckConstraint(
                condition=Q(change__in=["added", "changed", "removed"]), name="hiding_change_known"
            ),
        ]
        indexes = [models.Index(fields=["record"], name="hiding_by_record")]

    def __str__(self) -> str:
        return f"{self.kind} {self.record} {self.change}"


class Tombstone(models.Model):
    """What is left of a withdrawn record."""

    id = models.UUIDField(primary_key=True)
    kind = models.CharField(max_length=20)
    withdrawn_on = models.DateField()
    reason_class = models.CharField(max_length=30)
    first_release = models.PositiveIntegerField()
    last_release = models.PositiveIntegerField()
    entry = models.ForeignKey(ChangeEntry, on_delete=models.PROTECT, related_name="tombstones")

    class Meta:
        ordering = ["withdrawn_on", "id"]
        indexes = [models.Index(fields=["entry", "kind", "id"], name="tombstone_in_feed")]

    def __str__(self) -> str:
        return f"{self.kind} {self.id}"


class OpenedCell(models.Model):
    """A grid cell opened for a class of place; opened cells never close."""

    place_class = models.CharField(max_length=20)
    cell = models.CharField(max_length=40)
    release = models.ForeignKey(Release, on_delete=models.PROTECT, related_name="opened_cells")

    class Meta:
        ordering = ["place_class", "cell"]
        constraints = [
            models.UniqueConstraint(fields=["place_class", "cell"], name="cell_opened_once"),
        ]

    def __str__(self) -> str:
        return f"{self.place_class} {self.cell}"


class ReleaseFile(models.Model):
    """One file of one build of a release; a build with withdrawn rows is gone for good."""

    release = models.ForeignKey(Release, on_delete=models.PROTECT, related_name="files")
    build = models.PositiveIntegerField()
    name = models.CharField(max_length=80)
    media_type = models.CharField(max_length=80)
    size_bytes = models.PositiveBigIntegerField()
    sha256 = models.CharField(max_length=64)
    rows = models.JSONField(default=dict, help_text="Rows per table in the file.")
    built_at = models.DateTimeField()
    gone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["release", "build", "name"]
        constraints = [
            models.UniqueConstraint(fields=["release", "build", "name"], name="file_name_in_build"),
        ]

    def __str__(self) -> str:
        return f"{self.release_id}/{self.build}/{self.name}"

    @property
    def storage_name(self) -> str:
        """Return where the bytes lie in the file store."""
        return f"releases/{self.release_id}/{self.build}/{self.name}"
