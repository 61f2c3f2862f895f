"""The photos of a job for its report: checked against their hashes, turned upright and made smaller."""

import io

from certificates.seal import sha256_of
from testing.testday.models import LogFile, RunPhoto

LONG_SIDE_PX = 1200
_QUALITY = 82


def faults(job):
    """One sentence for each file of the job that is missing or no longer the one that was taken in."""
    for caption, stored in _all(job):
        try:
            content = _content(stored)
        except OSError:
            yield f"“{caption}”: the file is missing from the store."
        else:
            if sha256_of(content) != stored.sha256:
                yield f"“{caption}”: the file is not the one that was taken in."


def _all(job):
    """Caption and stored file of everything that the certificate rests on."""
    for document in job.vehicle.documents.standing():
        yield document.caption, document
    for photo in run_photos(job):
        yield f"Photo of run {photo.run.number}", photo
    for log in LogFile.objects.filter(day__booking__job=job):
        yield log.original_name, log


def run_photos(job):
    return RunPhoto.objects.filter(run__day__booking__job=job).select_related("run").order_by("pk")


def prepared(job):
    """The photos by hash, as JPEG of a size that prints well. Files that are gone are left out."""
    found = {}
    for photo in (*job.vehicle.documents.standing().filter(kind="photo"), *run_photos(job)):
        try:
            found[photo.sha256] = _small(_content(photo))
        except OSError:
            continue
    return found


def _content(stored):
    with stored.file.open("rb") as file:
        return file.read()


def _small(content):
    from PIL import Image, ImageOps

    with Image.open(io.BytesIO(content)) as image:
        image.draft("RGB", (LONG_SIDE_PX, LONG_SIDE_PX))
        upright = ImageOps.exif_transpose(image)
        upright.thumbnail((LONG_SIDE_PX, LONG_SIDE_PX))
        target = io.BytesIO()
        _on_white(upright).save(target, "JPEG", quality=_QUALITY)
        return target.getvalue()


def _on_white(image):
    from PIL import Image

    if "A" not in image.getbands() and "transparency" not in image.info:
        return image.convert("RGB")
    seen = image.convert("RGBA")
    paper = Image.new("RGB", seen.size, "white")
    paper.paste(seen, mask=seen.getchannel("A"))
    return paper
