"""Files that somebody sent in, handed out again: a picture may be shown, anything else is only handed over."""

from django.http import FileResponse

# Whatever runs inside a paper runs nowhere on this site: no script, no form, no origin, nothing fetched.
NOTHING_RUNS = "sandbox; default-src 'none'; img-src 'self'; style-src 'unsafe-inline'"


def handed_over(file, *, name, content_type):
    """The bytes as they are stored, under the kind that was recognised when they came in."""
    response = FileResponse(
        file.open("rb"), as_attachment=not content_type.startswith("image/"), filename=name, content_type=content_type
    )
    response["Content-Security-Policy"] = NOTHING_RUNS
    response["X-Content-Type-Options"] = "nosniff"
    return response
