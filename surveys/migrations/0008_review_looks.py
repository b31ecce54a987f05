# Rounds of opinions in place of single decisions, claims, pairs of possible doubles, and settings
# of checks.

from collections import Counter

import django.db.models.deletion
from django.db import migrations, models
from django.db.models import F, Q


def number_rounds(apps, schema_editor):
    """Make each decision that there is a round of its own."""
    del schema_editor
    rounds = Counter()
    for review in apps.get_model("surveys", "Review").objects.order_by("id").iterator():
        rounds[review.visit_id] += 1
        review.round = rounds[review.visit_id]
        review.save(update_fields=["round"])


class Migration(migrations.Migration):

    dependencies = [
        ('surveys', '0007_practice_spaces'),
    ]

    operations = [
        migrations.AddIndex(
            model_name='site',
            index=models.Index(fields=['latitude', 'longitude'], name='site_by_place'),
        ),
        migrations.CreateModel(
            name='CheckSetting',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('parameters', models.JSONField()),
                ('author', models.CharField(max_length=120)),
                ('reason', models.CharField(max_length=500)),
                ('made_at', models.DateTimeField()),
                ('protocol', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='settings', to='surveys.protocolversion')),
            ],
            options={'ordering': ['id']},
        ),
        migrations.AddField(
            model_name='checkoutcome',
            name='setting',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to='surveys.checksetting'),
        ),
        migrations.AddField(
            model_name='checkoutcome',
            name='superseded_at',
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.CreateModel(
            name='DoublePair',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('found_at', models.DateTimeField()),
                ('verdict', models.CharField(blank=True, choices=[('one_visit', 'one visit, sent twice'), ('two_visits', 'two visits')], max_length=10)),
                ('judged_at', models.DateTimeField(blank=True, null=True)),
                ('first', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='pairs_as_first', to='surveys.visit')),
                ('judged_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to='surveys.reviewer')),
                ('second', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='pairs_as_second', to='surveys.visit')),
            ],
            options={
                'ordering': ['id'],
                'constraints': [
                    models.UniqueConstraint(fields=('first', 'second'), name='double_pair_once'),
                    models.CheckConstraint(condition=Q(first__lt=F('second')), name='double_pair_in_order'),
                    models.CheckConstraint(condition=Q(verdict='', judged_by__isnull=True, judged_at__isnull=True) | Q(verdict__in=['one_visit', 'two_visits'], judged_by__isnull=False, judged_at__isnull=False), name='double_verdict_whole'),
                ],
            },
        ),
        migrations.CreateModel(
            name='ReviewClaim',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('claimed_at', models.DateTimeField()),
                ('expires_at', models.DateTimeField()),
                ('reviewer', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='claims', to='surveys.reviewer')),
                ('visit', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='claim', to='surveys.visit')),
            ],
            options={
                'constraints': [
                    models.CheckConstraint(condition=Q(expires_at__gt=F('claimed_at')), name='claim_ends_after_start'),
                ],
            },
        ),
        migrations.AddField(
            model_name='review',
            name='round',
            field=models.PositiveSmallIntegerField(default=1),
            preserve_default=False,
        ),
        migrations.AddField(
            model_name='review',
            name='look',
            field=models.PositiveSmallIntegerField(default=1),
        ),
        migrations.AddField(
            model_name='review',
            name='standing',
            field=models.CharField(choices=[('held', 'waits for another look'), ('deciding', 'is the decision'), ('heard', 'stands beside the decision')], default='deciding', max_length=10),
        ),
        migrations.AddField(
            model_name='review',
            name='changes',
            field=models.JSONField(default=list, help_text='Lines that this opinion counts anew.'),
        ),
        migrations.RunPython(number_rounds, migrations.RunPython.noop, elidable=True),
    ]
