from django.db import migrations

from jobs.append_only import AppendOnlyTable


class Migration(migrations.Migration):
    dependencies = [("jobs", "0001_initial")]

    operations = [AppendOnlyTable("AuditEntry")]
