"""Where each person lands after signing in, and what was typed and not yet sent."""

from django.db.models import Prefetch
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from jobs import drafts
from jobs.access import signed_in
from jobs.landing import landing_page
from jobs.models import Job, OwnerLink


@signed_in
def home(request):
    """Staff go to the job book, the driver to the day sheets, an owner to their own jobs."""
    if to := landing_page(request.user):
        return redirect(to)
    standing = Prefetch("owner_links", OwnerLink.objects.standing(), to_attr="standing_links")
    jobs = Job.objects.with_people().filter(owner__user=request.user).prefetch_related(standing)
    return render(request, "jobs/my_jobs.html", {"jobs": jobs})


@signed_in
@require_POST
def keep_draft(request):
    """Keep what is typed on a page, for the one who typed it. Asked for by the forms themselves."""
    kept = drafts.keep(request.user, request.POST.get("path", ""), request.POST)
    return HttpResponse(status=204 if kept else 413)


@signed_in
@require_POST
def forget_draft(request):
    path = request.POST.get("path", "")
    drafts.forget(request.user, path)
    # Only a path of this site: an address given by somebody else is not followed.
    return redirect(path if url_has_allowed_host_and_scheme(path, allowed_hosts=None) else "home")
