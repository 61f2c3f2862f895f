from django.db import migrations


def enter_lines(apps, schema_editor):
    """Certificates issued before this migration enter the search as well."""
    from certificates import lines

    Certificate = apps.get_model("certificates", "Certificate")
    Line = apps.get_model("certificates", "RegisterLine")
    Key = apps.get_model("certificates", "RegisterKey")
    for certificate in Certificate.objects.order_by("position").iterator():
        shown = lines.facts_of(certificate.record)
        place = lines.place(certificate.issued_on, certificate.position)
        Line.objects.create(place=place, certificate=certificate, **shown)
        Key.objects.bulk_create(
            Key(line_id=place, kind=kind, key=key) for kind, key in lines.keys_of(certificate, shown)
        )


class Migration(migrations.Migration):
    dependencies = [("certificates", "0004_register_in_full")]

    operations = [migrations.RunPython(enter_lines, migrations.RunPython.noop)]
