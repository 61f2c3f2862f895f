"""What the pages of a job have in common."""

from contextlib import contextmanager

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect

from jobs import drafts
from jobs.models import Job
from jobs.refused import Refused


def job_or_404(number):
    return get_object_or_404(Job.objects.with_people(), number=number)


def saved(request, text, to, *args):
    """After a successful act: forget what was typed, say what was done, go on."""
    drafts.forget(request.user, request.path)
    # The mark tells the page that what it kept on the device is stored; see kept.js.
    messages.success(request, text, extra_tags="saved")
    return redirect(to, *args)


@contextmanager
def saying_why(request):
    """Around an act: whatever refuses it is shown, and the view goes on behind the block."""
    try:
        yield
    except Refused as refused:
        for reason in refused.reasons:
            messages.error(request, reason)


def acted(request, form, act, *, at_form=False):
    """What `act` makes of a form that was sent and holds.

    None where it was not sent, does not hold, or was refused: then what was typed is kept and the reasons stand on
    top of the page, for what is refused often has no form to show any more; `at_form` where the page always shows it.
    """
    if request.method != "POST" or not form.is_valid():
        return None
    with saying_why(request):
        try:
            return act(form.said() if hasattr(form, "said") else form.cleaned_data)
        except Refused as refused:
            drafts.keep(request.user, request.path, form.data)
            if not at_form:
                raise
            for reason in refused.reasons:
                form.add_error(None, reason)
    return None


def come_again(request, form, meanwhile):
    """Two saved at the same moment: what was typed is kept, and the page shows it beside what stands now."""
    drafts.keep(request.user, request.path, form.data)
    messages.error(request, str(meanwhile))
    return redirect(request.path)
