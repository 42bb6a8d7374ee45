from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('storage', '0022_sides_as_told'),
    ]

    operations = [
        migrations.RenameField(model_name='episode', old_name='leg_symptoms', new_name='limb_symptoms'),
        migrations.AlterField(
            model_name='episode',
            name='region',
            field=models.CharField(
                choices=[
                    ('low-back', 'low-back'),
                    ('hip', 'hip'),
                    ('knee', 'knee'),
                    ('shoulder', 'shoulder'),
                    ('elbow', 'elbow'),
                ],
                max_length=12,
            ),
        ),
    ]
