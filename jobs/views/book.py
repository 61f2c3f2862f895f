"""The job book: what is open, who must act next, since when."""

from django.core.paginator import Paginator
from django.db.models import Case, IntegerField, Value, When
from django.shortcuts import render

from jobs import steps
from jobs.access import allow
from jobs.models import Job

PER_PAGE = 50


@allow("jobs.view_job")
def job_book(request):
    """Open jobs in the order of the steps, longest waiting first; found by number, plate, VIN or owner."""
    words = request.GET.get("q", "").strip()[:100]
    closed = request.GET.get("closed") == "1"
    order = [When(stage=step.key, then=Value(step.order)) for step in steps.all_steps()]
    jobs = Job.objects.with_people().matching(words)
    jobs = jobs.filter(stage=steps.DONE) if closed else jobs.exclude(stage=steps.DONE)
    jobs = jobs.annotate(step_order=Case(*order, default=Value(99), output_field=IntegerField()))
    page = Paginator(jobs.order_by("step_order", "stage_since"), PER_PAGE).get_page(request.GET.get("page"))
    titles = {step.key: step for step in steps.all_steps()}
    lines = [(job, titles.get(job.stage)) for job in page]
    template = "jobs/_book_lines.html" if request.htmx else "jobs/book.html"
    return render(request, template, {"page": page, "lines": lines, "q": words, "closed": closed})
