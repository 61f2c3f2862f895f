from django.db import migrations, models

from jobs.append_only import open_table


def name_what_was_known(apps, schema_editor):
    """Decisions named the last run and the last stop; from now on each run and stop by itself."""
    release, stop = apps.get_model("testing", "Release"), apps.get_model("testing", "Stop")
    run = apps.get_model("testing", "Run")
    open_table(schema_editor, release._meta.db_table)
    for one in release.objects.all():
        runs = run.objects.filter(day=one.day_id, number__lte=one.after_run)
        stops = stop.objects.filter(day=one.day_id, pk__lte=one.after_stop)
        one.known_runs = list(runs.values_list("number", flat=True))
        one.known_stops = list(stops.values_list("pk", flat=True))
        one.save()


class Migration(migrations.Migration):

    dependencies = [("testing", "0013_checks_can_be_taken_back")]

    operations = [
        migrations.AddField("release", "known_runs", models.JSONField(blank=True, default=list)),
        migrations.AddField("release", "known_stops", models.JSONField(blank=True, default=list)),
        migrations.RunPython(name_what_was_known, migrations.RunPython.noop),
    ]
