"""The job book: who must act next, by when, what is late; and what the day brings."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs import arrivals, book, lines, steps
from jobs.access import allow
from jobs.models import BookView

PER_PAGE = 50
DAYS = 2
MOST_VIEWS = 20


@allow("jobs.view_job")
def job_book(request):
    """Open jobs by who must act next and by when; found by number, plate, VIN, vehicle, owner or telephone."""
    lines.catch_up()
    asked = book.Asked.of(request.GET)
    page = Paginator(book.lines(asked), PER_PAGE).get_page(request.GET.get("page"))
    titles = {step.key: step.title for step in steps.all_steps()}
    found = [(line, titles.get(line.job.stage, "Closed")) for line in page]
    context = {"page": page, "lines": found, "asked": asked}
    if request.htmx:
        return render(request, "jobs/_book_lines.html", context)
    today = timezone.localdate()
    days = arrivals.between(today, DAYS)
    context |= {
        "counts": book.counts(),
        "actors": steps.ACTORS,
        "steps": steps.all_steps(),
        "views": request.user.book_views.all(),
        "days": days,
        "today": today,
        "expected_today": len(days.get(today, ())),
    }
    return render(request, "jobs/book.html", context)


@allow("jobs.view_job")
@require_POST
def keep_view(request):
    """Keep the present way of looking at the book under a name, for this person."""
    asked = book.Asked.of(request.POST)
    name = " ".join(request.POST.get("name", "").replace("\x00", "").split())[:40]
    to = f"{reverse('jobs:book')}?{asked.query}"
    if not name:
        messages.error(request, "A name is missing: under what should this view be kept?")
    elif request.user.book_views.exclude(name=name).count() >= MOST_VIEWS:
        messages.error(request, f"{MOST_VIEWS} views are kept already: remove one first.")
    else:
        BookView.objects.update_or_create(user=request.user, name=name, defaults={"query": asked.query[:300]})
        messages.success(request, f"Kept as “{name}”.")
    return redirect(to)


@allow("jobs.view_job")
@require_POST
def remove_view(request):
    """Remove a view of one's own; one that is gone already stays gone."""
    name = request.POST.get("name", "")[:40].replace("\x00", "")
    if request.user.book_views.filter(name=name).delete()[0]:
        messages.success(request, f"“{name}” is removed.")
    return redirect("jobs:book")
