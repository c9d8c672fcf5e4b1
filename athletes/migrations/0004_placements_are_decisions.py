"""A placement is one of the head coach's decisions: what was kept apart joins them."""

from django.db import migrations


def join(apps, schema_editor):
    decisions = apps.get_model("athletes", "Decision")
    decisions.objects.bulk_create(
        decisions(
            id=row.id,
            club_id=row.club_id,
            athlete_id=row.athlete_id,
            drill_id=row.drill_id,
            kind="place",
            day=row.day,
            at=row.at,
            by_id=row.by_id,
            side="none",
            seen=row.seen,
        )
        for row in apps.get_model("athletes", "Placement").objects.all()
    )


class Migration(migrations.Migration):

    dependencies = [
        ("athletes", "0003_decisions_and_standing"),
    ]

    operations = [
        migrations.RunPython(join, migrations.RunPython.noop),
        migrations.DeleteModel(name="Placement"),
    ]
