"""Every catalogue gets a stamp, which its next change replaces."""

import uuid

import django.db.models.deletion
from django.db import migrations, models


def stamp(apps, schema_editor):
    Cover, Stamp = (apps.get_model("drills", name) for name in ("CatalogueCover", "CatalogueStamp"))
    for club in Cover.objects.values_list("club", flat=True):
        Stamp.objects.create(club_id=club)


class Migration(migrations.Migration):
    dependencies = [("club", "0004_consent_to_leave_alone"), ("drills", "0003_covers_of_editions")]
    operations = [
        migrations.CreateModel(
            name="CatalogueStamp",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("stamp", models.UUIDField(default=uuid.uuid4)),
                (
                    "club",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="+", to="club.club"
                    ),
                ),
            ],
            options={"constraints": [models.UniqueConstraint(fields=("club",), name="one_stamp_a_club")]},
        ),
        migrations.RunPython(stamp, migrations.RunPython.noop),
    ]
