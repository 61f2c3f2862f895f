from django.db import migrations, models


def empty_codes(apps, schema_editor):
    """Codes in letters that are done with are no longer good; the stored letters need not hold them."""
    letters = apps.get_model("jobs", "OutboxMessage").objects
    letters.filter(kind="code").exclude(state="to_send").update(body="")


class Migration(migrations.Migration):

    dependencies = [
        ("jobs", "0017_visits"),
    ]

    operations = [
        migrations.AddField(
            model_name="outboxmessage",
            name="claimed_until",
            field=models.DateTimeField(null=True, verbose_name="somebody is sending it until then"),
        ),
        migrations.RunPython(empty_codes, migrations.RunPython.noop),
    ]
