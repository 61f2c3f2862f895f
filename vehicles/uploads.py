"""What a file is, told from its bytes. A name or a browser's word proves nothing."""

import io

LARGEST_MB = 20
MOST_AT_ONCE = 20
LONGEST_SIDE = 4096
_IMAGES = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
# A small file can unpack to more pixels than the machine has memory for.
LARGEST_PIXELS = 60_000_000


class Refused(ValueError):
    """The file cannot be taken; the text says why and what is allowed."""


def _image_type(upload):
    from PIL import Image, UnidentifiedImageError

    try:
        upload.seek(0)
        with Image.open(upload, formats=tuple(_IMAGES)) as image:
            if image.width * image.height > LARGEST_PIXELS:
                most = f"{LARGEST_PIXELS // 1_000_000} million pixels"
                raise Refused(f"“{plain_name(upload.name)}” has more than {most}.")
            # To the last pixel: what is damaged is refused here and not found by the engineer.
            image.draft(None, (LONGEST_SIDE, LONGEST_SIDE))
            image.load()
            return _IMAGES[image.format]
    except Refused:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise Refused(f"“{plain_name(upload.name)}” has more pixels than a photo can have.") from error
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, EOFError):
        return None
    finally:
        upload.seek(0)


def recognise(upload, *, photo):
    """The content type of an upload. Raises Refused with what is allowed for anything else."""
    if upload.size > LARGEST_MB * 1_000_000:
        raise Refused(f"“{plain_name(upload.name)}” has {upload.size / 1_000_000:.0f} MB; allowed are {LARGEST_MB} MB.")
    upload.seek(0)
    is_pdf = upload.read(5) == b"%PDF-"
    upload.seek(0)
    if is_pdf and not photo:
        return "application/pdf"
    if content_type := _image_type(upload):
        return content_type
    allowed = "JPEG, PNG or WebP" if photo else "PDF, JPEG, PNG or WebP"
    raise Refused(f"“{plain_name(upload.name)}” is not a file of an allowed kind. Allowed: {allowed}.")


def made_safe(upload, content_type):
    """The upload as it may be stored: a picture redrawn upright from its pixels alone.

    Place, camera, thumbnails and anything appended to the file are gone; the colours keep their
    profile. A paper in PDF is stored as it came, and is only ever handed over, never shown.
    """
    upload.seek(0)
    if content_type not in _IMAGES.values():
        return upload
    from django.core.files.base import ContentFile
    from PIL import Image, ImageOps

    form = next(form for form, known in _IMAGES.items() if known == content_type)
    redrawn = io.BytesIO()
    with Image.open(upload, formats=(form,)) as image:
        image.draft(None, (LONGEST_SIDE, LONGEST_SIDE))
        picture = ImageOps.exif_transpose(image)
        picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
        mode = "RGBA" if picture.has_transparency_data and form != "JPEG" else "RGB"
        # A profile speaks of the colours it was made for; grey or print colours become plain ones.
        profile = image.info.get("icc_profile") if picture.mode in ("RGB", "RGBA") else None
        bare = Image.new(mode, picture.size)
        bare.paste(picture.convert(mode))
        bare.save(redrawn, form, quality=90, icc_profile=profile)
    return ContentFile(redrawn.getvalue(), name="picture")


def plain_name(name):
    """The name of a file as it may be shown: no path, no signs that turn or hide the rest of a line."""
    last = name.replace("\\", "/").rpartition("/")[2]
    return "".join(char for char in last if char.isprintable())[-120:] or "file"
