from django.db import migrations

from jobs.append_only import AppendOnlyTable


class Migration(migrations.Migration):
    # By itself: PostgreSQL changes no table in the transaction that has just written to its rows.

    dependencies = [("testing", "0014_decision_with_what_was_known")]

    operations = [migrations.RemoveField("release", "after_stop"), AppendOnlyTable("Release")]
