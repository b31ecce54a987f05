"""Say of each counted line whether it is an occurrence, judged within its step.

What is judged is written out here as it was when this was released. A version that stands in
several releases is cut where the lines beside it change what it means.
"""

from itertools import groupby
from operator import attrgetter

from django.db import migrations, models
from django.db.models import Q


def judge_all(apps, schema_editor):
    """Judge every step in every release, the oldest first."""
    releases = apps.get_model("portal", "Release").objects.order_by("number")
    counts = apps.get_model("portal", "PublishedCount").objects
    counts.filter(number__gt=0).update(occurrence_status="present")
    for release in releases:
        complete = {name for name, stored in _protocols(release) if _counts_every_animal(stored)}
        standing = counts.filter(
            Q(until_release__isnull=True) | Q(until_release__gt=release.number),
            since_release__lte=release.number,
        )
        zeros = standing.filter(number=0).values("phase_id")
        in_order = standing.filter(phase_id__in=zeros).order_by("phase_id", "id").iterator()
        for _, step in groupby(in_order, key=attrgetter("phase_id")):
            _judge(list(step), release, complete)


def _protocols(release):
    return [(f"{p['key']}/{p['version']}", p) for p in release.protocols]


def _counts_every_animal(protocol):
    lines = protocol["categories"]
    stages = {line["stage"] for line in lines}
    return all(
        any(line["stage"] == stage and not line.get("taxon") for line in lines) for stage in stages
    )


def _judge(step, release, complete):
    names = [count.taxon or count.coarse_taxon for count in step]
    for count, name in zip(step, names):
        if count.state != "counted" or count.number:
            continue
        holders = [c for c, own in zip(step, names) if _may_hold(c, own, name)]
        whole = all(c.protocol in complete for c in step if c.coarse_taxon == name)
        is_absent = whole and all(holder.number == 0 for holder in holders)
        _say(count, "absent" if is_absent else None, release)


def _may_hold(count, own_name, name):
    return (
        count.coarse_taxon in {own_name, name}
        or own_name == name
        or own_name.startswith(f"{name} ")
        or name.startswith(f"{own_name} ")
    )


def _say(count, status, release):
    if count.occurrence_status == status:
        return
    if count.since_release < release.number:
        until = count.until_release
        count.until_release = release.number
        count.save(update_fields=["until_release"])
        count.pk, count.until_release = None, until
        count.since_release, count.modified_at = release.number, release.issued_at
    count.occurrence_status = status
    count.save()


class Migration(migrations.Migration):

    dependencies = [("portal", "0004_generalisation_settings")]

    operations = [
        migrations.AddField(
            model_name="publishedcount",
            name="occurrence_status",
            field=models.CharField(
                blank=True,
                help_text="Null: a zero beside finds, or no count.",
                max_length=7,
                null=True,
            ),
        ),
        migrations.RunPython(judge_all, migrations.RunPython.noop),
        migrations.AddConstraint(
            model_name="publishedcount",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("number__gt", 0),
                        ("number__isnull", False),
                        ("occurrence_status", "present"),
                    ),
                    models.Q(
                        ("number", 0), ("number__isnull", False), ("occurrence_status", "absent")
                    ),
                    models.Q(
                        ("occurrence_status__isnull", True),
                        models.Q(("number__isnull", True), ("number", 0), _connector="OR"),
                    ),
                    _connector="OR",
                ),
                name="pubcount_status_with_number",
            ),
        ),
    ]
