"""Old files: the list, what goes and what stays of one, and the act."""

from itertools import islice

from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from jobs.access import allow
from jobs.retention import erasing, kinds, rule
from jobs.views.shared import saying_why

KEEP = "jobs.keep_workshop"
PER_PAGE = 100


@allow(KEEP)
def old_file_list(request):
    """Files past their years, the oldest first."""
    shown = list(islice(erasing.old_files(), PER_PAGE))
    more = rule.count() - len(shown) if len(shown) == PER_PAGE else 0
    context = {"files": shown, "more": more, "terms": rule.terms()}
    return render(request, "jobs/retention/list.html", context)


def _old_or_404(kind, pk):
    if (found := kinds.get(kind)) and (old := erasing.old_file(found, pk)):
        return old
    raise Http404


@allow(KEEP)
def old_file(request, kind, pk):
    """What goes and what stays of one file, before anything does."""
    old = _old_or_404(kind, pk)
    context = {
        "old": old,
        "last_day": rule.last_day(old.day),
        "due": erasing.is_due(old),
        "goes": erasing.goes(old),
        "stays": erasing.stays(old),
        "for_good": kinds.for_good,
    }
    return render(request, "jobs/retention/file.html", context)


@allow(KEEP)
@require_POST
def erase_old_file(request, kind, pk):
    old = _old_or_404(kind, pk)
    with saying_why(request):
        erasing.erase(old, by=request.user)
        messages.success(request, f"{old.file}: what only served to reach the owner is erased; its trail says what.")
    return redirect("jobs:old_files")
