from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("club", "0004_consent_to_leave_alone")]

    operations = [migrations.AddField("person", "bad_email", models.EmailField(blank=True, max_length=254))]
