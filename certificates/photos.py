"""The photos of a job for its report: checked against their hashes, turned upright and made smaller."""

import io

from certificates.seal import sha256_of

LONG_SIDE_PX = 1200
_QUALITY = 82


def faults(job):
    """One sentence for each file of the job that is missing or no longer the one that was taken in."""
    for document in job.vehicle.documents.all():
        try:
            content = _content(document)
        except OSError:
            yield f"“{document.caption}”: the file is missing from the store."
        else:
            if sha256_of(content) != document.sha256:
                yield f"“{document.caption}”: the file is not the one that was taken in."


def prepared(job):
    """The photos by hash, as JPEG of a size that prints well. Files that are gone are left out."""
    found = {}
    for document in job.vehicle.documents.filter(kind="photo"):
        try:
            found[document.sha256] = _small(_content(document))
        except OSError:
            continue
    return found


def _content(document):
    with document.file.open("rb") as file:
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
