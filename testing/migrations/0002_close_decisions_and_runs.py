from django.db import migrations

from jobs.append_only import AppendOnlyTable


class Migration(migrations.Migration):
    dependencies = [("testing", "0001_initial")]

    operations = [
        AppendOnlyTable(name)
        for name in (
            "RuleSetEdition",
            "Override",
            "SignedTriage",
            "TestDay",
            "Check",
            "Run",
            "StruckRun",
            "DriverStatement",
            "DrivingReport",
        )
    ]
