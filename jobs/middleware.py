"""A closed file answers every attempt to change it with the same sentence."""

from django.contrib import messages
from django.shortcuts import redirect

from jobs.services import FileClosed


class ClosedFiles:
    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_exception(self, request, exception):
        if not isinstance(exception, FileClosed):
            return None
        messages.error(request, str(exception))
        return redirect(exception.job)
