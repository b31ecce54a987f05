# What the database holds to once each decision has a round (apart from 0008, since PostgreSQL
# changes no table in the transaction that has just written its rows).

from django.db import migrations, models
from django.db.models import Q


class Migration(migrations.Migration):

    dependencies = [
        ('surveys', '0008_review_looks'),
    ]

    operations = [
        migrations.AddConstraint(
            model_name='review',
            constraint=models.UniqueConstraint(fields=('visit', 'round', 'look'), name='review_look_once_in_round'),
        ),
        migrations.AddConstraint(
            model_name='review',
            constraint=models.CheckConstraint(condition=Q(look__gte=1, look__lte=3), name='review_looks_up_to_three'),
        ),
        migrations.AddConstraint(
            model_name='review',
            constraint=models.CheckConstraint(condition=Q(standing__in=['held', 'deciding', 'heard']), name='review_standing_known'),
        ),
    ]
