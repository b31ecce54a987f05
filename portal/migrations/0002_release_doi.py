"""A release keeps its rights holder and its DOI; the citation is computed from them."""

from django.conf import settings
from django.db import migrations, models


def take_rights_holder(apps, schema_editor):
    """Take the rights holder out of the stored citation, where it stands before the year."""
    for release in apps.get_model("portal", "Release").objects.all():
        release.rights_holder = release.citation.partition(f" ({release.issued_at.year}). ")[0]
        release.save(update_fields=["rights_holder"])


def write_citation(apps, schema_editor):
    """Store the citation again."""
    for release in apps.get_model("portal", "Release").objects.all():
        release.citation = (
            f"{release.rights_holder} ({release.issued_at.year}). {release.title}. "
            f"Release {release.number}. {settings.PUBLIC_URL}/releases/{release.number}"
        )
        release.save(update_fields=["citation"])


class Migration(migrations.Migration):

    dependencies = [("portal", "0001_initial")]

    operations = [
        migrations.AddField(
            model_name="release",
            name="rights_holder",
            field=models.CharField(default="", max_length=200),
            preserve_default=False,
        ),
        migrations.AlterField(
            model_name="release",
            name="citation",
            field=models.CharField(default="", max_length=400),
        ),
        migrations.RunPython(take_rights_holder, write_citation),
        migrations.RemoveField(model_name="release", name="citation"),
        migrations.AddField(
            model_name="release",
            name="doi",
            field=models.CharField(blank=True, default="", max_length=200),
            preserve_default=False,
        ),
        migrations.AddField(
            model_name="release",
            name="doi_set_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddConstraint(
            model_name="release",
            constraint=models.UniqueConstraint(
                fields=["doi"], condition=~models.Q(doi=""), name="release_doi_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="release",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("doi", ""), ("doi_set_at__isnull", True)),
                    models.Q(
                        models.Q(("doi", ""), _negated=True), ("doi_set_at__isnull", False)
                    ),
                    _connector="OR",
                ),
                name="release_doi_with_instant",
            ),
        ),
    ]
