from django.db import migrations


def fill(apps, schema_editor):
    """Every job gets its line; what it says is worked out when the book is opened."""
    Job, BookLine = apps.get_model("jobs", "Job"), apps.get_model("jobs", "BookLine")
    without = Job.objects.filter(line=None).values_list("pk", "stage")
    lines = (BookLine(job_id=pk, actor=9 if stage == "done" else 1) for pk, stage in without.iterator())
    BookLine.objects.bulk_create(lines, batch_size=1000)


class Migration(migrations.Migration):
    dependencies = [("jobs", "0008_desk_job_book")]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
