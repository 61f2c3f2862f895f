import django.db.models.deletion
import django.utils.timezone
from django.db import migrations, models

from jobs.append_only import AppendOnlyTable


def find_new_owners(apps, schema_editor):
    """Certificates that changed hands before this migration are found by their new owner as well."""
    from certificates import terms

    Event = apps.get_model("certificates", "Event")
    Line = apps.get_model("certificates", "RegisterLine")
    Key = apps.get_model("certificates", "RegisterKey")
    for event in Event.objects.filter(kind="transferred").order_by("position").iterator():
        about = {"certificate": event.certificate_id} if event.certificate_id else {"imported": event.imported_id}
        line = Line.objects.filter(**about).first()
        held = set(Key.objects.filter(line=line, kind=terms.OWNER).values_list("key", flat=True)) if line else set()
        new = sorted(set(terms.words(event.record.get("new_owner", ""))) - held) if line else []
        Key.objects.bulk_create(Key(line=line, kind=terms.OWNER, key=word) for word in new)


class Migration(migrations.Migration):
    dependencies = [("certificates", "0008_what_meets_a_requirement")]

    operations = [
        migrations.AddField("audit", "numbers", models.FileField(blank=True, max_length=200, upload_to="audits/")),
        migrations.AddField("audit", "numbers_sha256", models.CharField(blank=True, max_length=64)),
        migrations.AddField("audit", "certificates_up_to", models.PositiveIntegerField(default=0)),
        migrations.AddField("audit", "events_up_to", models.PositiveIntegerField(default=0)),
        migrations.AlterField("audit", "drawn_at", models.DateTimeField(default=django.utils.timezone.now)),
        migrations.AddField("event", "sent_as", models.UUIDField(blank=True, null=True, unique=True)),
        migrations.CreateModel(
            name="NewOwnerContact",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("email", models.EmailField(blank=True, max_length=254)),
                ("phone", models.CharField(blank=True, max_length=30)),
                (
                    "event",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="contact",
                        to="certificates.event",
                    ),
                ),
            ],
            options={"default_permissions": ()},
        ),
        migrations.RunPython(find_new_owners, migrations.RunPython.noop),
        # SQLite built both tables anew.
        AppendOnlyTable("Audit"),
        AppendOnlyTable("Event"),
    ]
