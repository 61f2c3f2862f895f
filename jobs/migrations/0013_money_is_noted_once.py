from django.db import migrations, models

from jobs.append_only import AppendOnlyTable


class Migration(migrations.Migration):
    dependencies = [("jobs", "0012_offered_mornings")]

    operations = [
        operation
        for name in ("payment", "cost")
        for operation in (
            migrations.AddField(name, "sent_as", models.UUIDField(editable=False, null=True, unique=True)),
            AppendOnlyTable(name),
        )
    ]
