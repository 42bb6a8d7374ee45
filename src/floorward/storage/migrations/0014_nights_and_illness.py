from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("storage", "0013_languages_spoken"),
    ]

    operations = [
        migrations.AddField(
            model_name="morningcheck",
            name="night_lost",
            field=models.BooleanField(default=False),
        ),
        migrations.AddField(
            model_name="morningcheck",
            name="unwell",
            field=models.BooleanField(default=False),
        ),
    ]
