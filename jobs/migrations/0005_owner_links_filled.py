from datetime import timedelta

from django.db import migrations
from django.utils import timezone

from jobs.models.job import new_token

LIFE = timedelta(days=180)


def to_links(apps, schema_editor):
    """Every address that owners hold today goes on working, now with an end."""
    Job, Link = (apps.get_model("jobs", name) for name in ("Job", "OwnerLink"))
    expires_at = timezone.now() + LIFE
    jobs = Job.objects.values_list("pk", "owner_token").iterator(chunk_size=2000)
    Link.objects.bulk_create(
        (Link(job_id=pk, token=token, expires_at=expires_at) for pk, token in jobs), batch_size=2000
    )


def to_jobs(apps, schema_editor):
    Job, Link = (apps.get_model("jobs", name) for name in ("Job", "OwnerLink"))
    newest = dict(Link.objects.order_by("pk").values_list("job_id", "token"))
    for pk in Job.objects.values_list("pk", flat=True).iterator(chunk_size=2000):
        Job.objects.filter(pk=pk).update(owner_token=newest.get(pk) or new_token())


class Migration(migrations.Migration):
    dependencies = [("jobs", "0004_owner_models")]

    operations = [migrations.RunPython(to_links, to_jobs)]
