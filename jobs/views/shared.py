"""What the pages of a job have in common."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect

from jobs import drafts
from jobs.models import Job


def job_or_404(number):
    return get_object_or_404(Job.objects.with_people(), number=number)


def saved(request, text, to, *args):
    """After a successful act: forget what was typed, say what was done, go on."""
    drafts.forget(request.user, request.path)
    # The mark tells the page that what it kept on the device is stored; see kept.js.
    messages.success(request, text, extra_tags="saved")
    return redirect(to, *args)


def come_again(request, form, meanwhile):
    """Two saved at the same moment: what was typed is kept, and the page shows it beside what stands now."""
    drafts.keep(request.user, request.path, form.data)
    messages.error(request, str(meanwhile))
    return redirect(request.path)
