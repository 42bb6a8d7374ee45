from django.db import migrations

TABLE = "storage_auditentry"
KEEP = f"CREATE TRIGGER audit_not_emptied BEFORE TRUNCATE ON {TABLE} EXECUTE FUNCTION audit_kept()"


def keep(apps, schema_editor):
    """PostgreSQL can also empty a table at a stroke; SQLite cannot."""
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(KEEP)


class Migration(migrations.Migration):

    dependencies = [
        ('storage', '0007_doors_and_erasure'),
    ]

    operations = [migrations.RunPython(keep, migrations.RunPython.noop)]
