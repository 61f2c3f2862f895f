"""What a file is, told from its bytes. A name or a browser's word proves nothing."""

LARGEST_MB = 20
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
                raise Refused(f"“{upload.name}” has more than {LARGEST_PIXELS // 1_000_000} million pixels.")
            image.verify()
            return _IMAGES[image.format]
    except Refused:
        raise
    except Image.DecompressionBombError as error:
        raise Refused(f"“{upload.name}” has more pixels than a photo can have.") from error
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError):
        return None
    finally:
        upload.seek(0)


def recognise(upload, *, photo):
    """The content type of an upload. Raises Refused with what is allowed for anything else."""
    if upload.size > LARGEST_MB * 1_000_000:
        raise Refused(f"“{upload.name}” has {upload.size / 1_000_000:.0f} MB; allowed are {LARGEST_MB} MB.")
    upload.seek(0)
    is_pdf = upload.read(5) == b"%PDF-"
    upload.seek(0)
    if is_pdf and not photo:
        return "application/pdf"
    if content_type := _image_type(upload):
        return content_type
    allowed = "JPEG, PNG or WebP" if photo else "PDF, JPEG, PNG or WebP"
    raise Refused(f"“{upload.name}” is not a file of an allowed kind. Allowed: {allowed}.")
