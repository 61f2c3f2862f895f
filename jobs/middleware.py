"""What is answered in the same way wherever it happens."""

from django.contrib import messages
from django.shortcuts import redirect, render

from jobs.services import FileClosed


class ReadableAddresses:
    """An address with a NUL byte was never typed by a person, and no database can search for one."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        if "\x00" in request.path or "%00" in request.META.get("QUERY_STRING", ""):
            return render(request, "400.html", status=400)
        return self.get_response(request)


class ClosedFiles:
    """A closed file answers every attempt to change it with the same sentence."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_exception(self, request, exception):
        if not isinstance(exception, FileClosed):
            return None
        messages.error(request, str(exception))
        return redirect(exception.job)
