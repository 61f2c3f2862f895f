"""What is answered when a request cannot be read at all."""

from django.conf import settings
from django.core.exceptions import TooManyFilesSent
from django.shortcuts import render
from django.views.defaults import bad_request as usual


def bad_request(request, exception):
    """Too many files at once has its own page; everything else is an address nobody typed."""
    if not isinstance(exception, TooManyFilesSent):
        return usual(request, exception)
    context = {"most": settings.DATA_UPLOAD_MAX_NUMBER_FILES, "back": request.path}
    return render(request, "too_many_files.html", context, status=400)
