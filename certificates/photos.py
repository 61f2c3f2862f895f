"""The photos of a job for its report: checked against their hashes, turned upright and made smaller."""

import io

from certificates.seal import sha256_of
from jobs.refused import Refused
from testing.testday.models import LogFile, RunPhoto

LONG_SIDE_PX = 1200
_QUALITY = 82


def faults(job):
    """One sentence for each file of the job that is missing or no longer the one that was taken in."""
    for caption, stored in everything(job):
        if fault := _checked(caption, stored)[1]:
            yield fault


def _checked(caption, stored):
    """The bytes, and what is wrong with them. Read once: what is checked is what is used."""
    try:
        found = content(stored)
    except (OSError, ValueError):
        return b"", f"“{caption}”: the file is missing from the store."
    if sha256_of(found) != stored.sha256:
        return b"", f"“{caption}”: the file is not the one that was taken in."
    return found, None


def everything(job):
    """Caption and stored file of everything that the certificate rests on."""
    yield from ((document.caption, document) for document in job.vehicle.documents.standing())
    yield from _of_runs(job)
    for log in LogFile.objects.filter(day__booking__job=job):
        yield log.original_name, log


def _photos(job):
    yield from ((photo.caption, photo) for photo in job.vehicle.documents.filter(kind="photo"))
    yield from _of_runs(job)


def _of_runs(job):
    yield from ((f"Photo of run {photo.run.number}", photo) for photo in run_photos(job))


def run_photos(job):
    return RunPhoto.objects.filter(run__day__booking__job=job).select_related("run").order_by("pk")


def prepared(job):
    """The photos by hash, as JPEG of a size that prints well. Raises Refused where one does not hold."""
    return _prepared(job, strict=True)


def for_draft(job):
    """The same for looking at: a photo that does not hold is left out, and the review says so."""
    return _prepared(job, strict=False)


def _prepared(job, *, strict):
    found, wrong = {}, []
    for caption, photo in _photos(job):
        taken, fault = _checked(caption, photo)
        if fault:
            wrong.append(fault)
        else:
            found[photo.sha256] = _small(taken)
    if wrong and strict:
        raise Refused(*wrong)
    return found


def content(stored):
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
