"""Each club that has an edition gets the cover of that edition, and its gates the order that they have there."""

import yaml
from django.db import migrations


def cover(apps, schema_editor):
    Edition = apps.get_model("drills", "CatalogueEdition")
    Cover = apps.get_model("drills", "CatalogueCover")
    Offer = apps.get_model("drills", "DrillCheckpoint")
    for edition in Edition.objects.order_by("version"):
        said = yaml.safe_load(edition.source)
        Cover.objects.update_or_create(
            club_id=edition.club_id, defaults={"name": said["name"], "version": edition.version}
        )
        for drill in said["drills"]:
            for place, key in enumerate(drill["gate"]):
                offers = Offer.objects.filter(club_id=edition.club_id, drill__key=drill["key"], checkpoint__key=key)
                offers.update(gate_place=place)


class Migration(migrations.Migration):
    dependencies = [("drills", "0002_cover_and_drafts")]
    operations = [migrations.RunPython(cover, migrations.RunPython.noop)]
