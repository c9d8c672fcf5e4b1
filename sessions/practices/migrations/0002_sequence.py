from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("practices", "0001_initial"),
    ]

    operations = [
        migrations.AddField(
            model_name="practice",
            name="sequence",
            field=models.PositiveIntegerField(default=1),
        ),
    ]
