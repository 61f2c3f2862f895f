"""Photos and papers that an owner sends from the phone."""

from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from jobs import lines, services
from jobs.models import OwnerUpload
from jobs.owners import words
from vehicles import uploads

A_DAY = 30
WHAT = {
    "insurance": "Insurance document",
    "receipt": "Receipt",
    "approval": "Approval or kit papers",
    "photo": "Photo",
    "other": "Something else",
}


def take(*, job, files, what, note):
    """Keep what can be kept. Gives (kept, sentences about what was refused): one bad file loses no good one."""
    kept, refused = [], []
    for upload in files:
        try:
            kept.append(_keep(job, upload, what, note))
        except uploads.Refused as error:
            refused.append(str(error))
    if kept:
        _tell(job, kept)
    return kept, refused


@transaction.atomic
def _tell(job, kept):
    count = f"{len(kept)} files" if len(kept) > 1 else "a file"
    words.say(
        job=job,
        text=f"The owner sent {count}: {kept[0].caption}. Look at {'them' if len(kept) > 1 else 'it'}.",
        event="desk_files",
        facts={"count": count, "files": "\n".join(f"- {document.caption}" for document in kept)},
    )
    lines.touched(job)


@transaction.atomic
def _keep(job, upload, what, note):
    since = timezone.now() - timedelta(days=1)
    if job.owner_uploads.filter(at__gt=since).count() >= A_DAY:
        raise uploads.Refused(
            f"“{uploads.plain_name(upload.name)}”: {A_DAY} files in one day are as many as this page takes."
        )
    content_type = uploads.recognise(upload, photo=what == "photo")
    document = services.add_document(
        by=None,
        job=job,
        upload=upload,
        kind="photo" if what == "photo" else "paper",
        caption=f"{WHAT[what]} from the owner{': ' + note if note else ''}"[:120],
        content_type=content_type,
    )
    OwnerUpload.objects.create(job=job, document=document)
    return document
