from django.db import migrations, models

from jobs.append_only import AppendOnlyTable


class Migration(migrations.Migration):
    """The moment of issue stands in the sealed record; the column repeats it instead of taking its own."""

    dependencies = [("certificates", "0002_close_register")]

    operations = [
        migrations.AlterField(model_name="certificate", name="issued_at", field=models.DateTimeField()),
        # SQLite alters a column by building the table anew, and its guards go with the old one.
        AppendOnlyTable("Certificate"),
    ]
