"""The owner's page: where the job stands, what happens next, what it costs. No account needed."""

from django.http import FileResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.cache import never_cache

from jobs import owner_page
from jobs.access import public
from jobs.models import Job


def _job(token):
    return get_object_or_404(Job.objects.with_people(), owner_token=token)


@public
@never_cache
def owner(request, token):
    """Behind an address that cannot be guessed; shows nothing internal and nothing of other jobs."""
    return _private(render(request, "jobs/owner.html", owner_page.contents(_job(token))))


@public
@never_cache
def owner_paper(request, token, key):
    """A paper that was issued for this job."""
    paper = owner_page.paper_or_404(_job(token), key)
    return _private(FileResponse(paper.open(), as_attachment=True, filename=paper.filename))


def _private(response):
    # The address is the key: it must not leak through a referrer or a search engine.
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response
