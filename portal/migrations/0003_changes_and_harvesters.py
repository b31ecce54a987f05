"""A feed of changes, with an entry for each earlier act, and who reads it."""

from datetime import UTC, datetime, time

import django.db.models.deletion
from django.db import migrations, models


def enter_earlier_acts(apps, schema_editor):
    """Give each release and each day of withdrawals an entry, in the order of their dates.

    Of a withdrawal only the day is known. Where a record went out stands in no release entry any
    more, so the order of acts of one day makes no difference to a reader.
    """
    entries = apps.get_model("portal", "ChangeEntry").objects
    tombstones = apps.get_model("portal", "Tombstone").objects
    acts = [
        (release.issued_at, release)
        for release in apps.get_model("portal", "Release").objects.order_by("number")
    ]
    acts += [
        (datetime.combine(day, time(), UTC), None)
        for day in tombstones.order_by("withdrawn_on").values_list("withdrawn_on", flat=True).distinct()
    ]
    acts.sort(key=lambda act: act[0])
    for number, (at, release) in enumerate(acts, start=1):
        entry = entries.create(number=number, at=at, release=release)
        if release is None:
            tombstones.filter(withdrawn_on=at.date()).update(entry=entry)
    # PostgreSQL alters no table while the check of a new reference is still to come.
    schema_editor.connection.check_constraints()


class Migration(migrations.Migration):

    dependencies = [
        ('portal', '0002_release_doi'),
    ]

    operations = [
        migrations.CreateModel(
            name='Acknowledgement',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('acknowledged_at', models.DateTimeField()),
            ],
            options={
                'ordering': ['harvester', 'entry'],
            },
        ),
        migrations.CreateModel(
            name='ChangeEntry',
            fields=[
                ('number', models.PositiveBigIntegerField(primary_key=True, serialize=False)),
                ('at', models.DateTimeField()),
            ],
            options={
                'verbose_name_plural': 'change entries',
                'ordering': ['number'],
            },
        ),
        migrations.CreateModel(
            name='Harvester',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=120)),
                ('contact', models.CharField(blank=True, max_length=200)),
                ('homepage', models.URLField(blank=True)),
                ('prefix', models.CharField(max_length=12)),
                ('sha256', models.CharField(blank=True, max_length=64, null=True, unique=True)),
                ('registered_at', models.DateTimeField()),
                ('joined_after', models.PositiveBigIntegerField(help_text='Number of the last change entry before it registered; 0 if there was none.')),
                ('left_after', models.PositiveBigIntegerField(blank=True, help_text='Number of the last change entry before it left.', null=True)),
            ],
            options={
                'ordering': ['id'],
            },
        ),
        migrations.CreateModel(
            name='HidingNote',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(max_length=20)),
                ('record', models.UUIDField(help_text='Permanent public id.')),
                ('change', models.CharField(max_length=10)),
            ],
            options={
                'ordering': ['entry', 'kind', 'record'],
            },
        ),
        migrations.RemoveIndex(
            model_name='publishedcount',
            name='pubcount_by_since',
        ),
        migrations.RemoveIndex(
            model_name='publishedcount',
            name='pubcount_by_until',
        ),
        migrations.RemoveIndex(
            model_name='publishedpit',
            name='pubpit_by_since',
        ),
        migrations.RemoveIndex(
            model_name='publishedpit',
            name='pubpit_by_until',
        ),
        migrations.RemoveIndex(
            model_name='publishedvisit',
            name='pubvisit_by_since',
        ),
        migrations.RemoveIndex(
            model_name='publishedvisit',
            name='pubvisit_by_until',
        ),
        migrations.AddIndex(
            model_name='publishedcount',
            index=models.Index(fields=['since_release', 'id'], name='pubcount_by_since'),
        ),
        migrations.AddIndex(
            model_name='publishedcount',
            index=models.Index(fields=['until_release', 'id'], name='pubcount_by_until'),
        ),
        migrations.AddIndex(
            model_name='publishedpit',
            index=models.Index(fields=['since_release', 'id'], name='pubpit_by_since'),
        ),
        migrations.AddIndex(
            model_name='publishedpit',
            index=models.Index(fields=['until_release', 'id'], name='pubpit_by_until'),
        ),
        migrations.AddIndex(
            model_name='publishedvisit',
            index=models.Index(fields=['since_release', 'id'], name='pubvisit_by_since'),
        ),
        migrations.AddIndex(
            model_name='publishedvisit',
            index=models.Index(fields=['until_release', 'id'], name='pubvisit_by_until'),
        ),
        migrations.AddField(
            model_name='changeentry',
            name='release',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='entry', to='portal.release'),
        ),
        migrations.AddField(
            model_name='acknowledgement',
            name='entry',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='portal.changeentry'),
        ),
        migrations.AddField(
            model_name='tombstone',
            name='entry',
            field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='tombstones', to='portal.changeentry'),
        ),
        migrations.RunPython(enter_earlier_acts, migrations.RunPython.noop),
        migrations.AlterField(
            model_name='tombstone',
            name='entry',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='tombstones', to='portal.changeentry'),
        ),
        migrations.AddIndex(
            model_name='tombstone',
            index=models.Index(fields=['entry', 'kind', 'id'], name='tombstone_in_feed'),
        ),
        migrations.AddConstraint(
            model_name='harvester',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('left_after__isnull', True), ('sha256__isnull', False)), models.Q(('contact', ''), ('left_after__isnull', False), ('sha256__isnull', True)), _connector='OR'), name='harvester_left_without_token_and_contact'),
        ),
        migrations.AddField(
            model_name='acknowledgement',
            name='harvester',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='acknowledgements', to='portal.harvester'),
        ),
        migrations.AddField(
            model_name='hidingnote',
            name='entry',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='hiding_notes', to='portal.changeentry'),
        ),
        migrations.AddConstraint(
            model_name='changeentry',
            constraint=models.CheckConstraint(condition=models.Q(('number__gte', 1)), name='entry_number_from_one'),
        ),
        migrations.AddConstraint(
            model_name='acknowledgement',
            constraint=models.UniqueConstraint(fields=('harvester', 'entry'), name='acknowledgement_once_an_entry'),
        ),
        migrations.AddIndex(
            model_name='hidingnote',
            index=models.Index(fields=['record'], name='hiding_by_record'),
        ),
        migrations.AddConstraint(
            model_name='hidingnote',
            constraint=models.UniqueConstraint(fields=('entry', 'kind', 'record'), name='hiding_noted_once_an_entry'),
        ),
        migrations.AddConstraint(
            model_name='hidingnote',
            constraint=models.CheckConstraint(condition=models.Q(('change__in', ['added', 'removed'])), name='hiding_change_known'),
        ),
    ]
