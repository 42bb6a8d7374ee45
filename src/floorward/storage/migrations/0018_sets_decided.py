from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("storage", "0017_who_was_erased"),
    ]

    operations = [
        migrations.AddField(
            model_name="decision",
            name="proposed_sets",
            field=models.PositiveIntegerField(default=0),
        ),
        migrations.AddField(
            model_name="decision",
            name="sets",
            field=models.PositiveIntegerField(default=0),
        ),
    ]
