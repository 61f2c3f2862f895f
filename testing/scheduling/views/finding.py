"""Looking for a morning for one job or several, and taking it."""

from datetime import timedelta
from urllib.parse import urlencode

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.access import allow
from jobs.models import Job
from jobs.owners import offers
from jobs.refused import Refused
from testing.scheduling import finding, together
from testing.scheduling.booking_models import CAUSES
from testing.scheduling.find_forms import FindForm, OfferForm, TakeForm
from testing.scheduling.habits import habits


@allow("testing.schedule")
def find(request):
    """Proposals from the best; each can be booked or held at once."""
    asked = "jobs" in request.GET
    first_day = timezone.localdate() + timedelta(days=1)
    form = FindForm(request.GET if "first_day" in request.GET else None, initial=_initial(request, first_day))
    if asked and "first_day" not in request.GET:
        form = FindForm({**_initial(request, first_day), "jobs": request.GET.getlist("jobs")})
    found = None
    if form.is_bound and form.is_valid():
        jobs = form.cleaned_data["jobs"]
        days = form.cleaned_data["days"]
        found = finding.find(jobs, first_day=form.cleaned_data["first_day"], days=days, sites=form.sites())
    shown = habits()["search"]["shown"]
    return render(
        request,
        "testing/scheduling/find.html",
        {
            "form": form,
            "found": found,
            "proposals": found.proposals[:shown] if found else [],
            "more": max(0, len(found.proposals) - shown) if found else 0,
            "against_days": found.against_days.most_common() if found else [],
            "may_ask": found and not any(_is_confirmed(job) for job in form.cleaned_data["jobs"]),
            "booked": found and any(_has_booking(job) for job in form.cleaned_data["jobs"]),
            "habits": habits(),
            "causes": CAUSES,
        },
    )


def _has_booking(job):
    return any(not booking.cancelled_at for booking in job.bookings.all())


def _is_confirmed(job):
    return any(not booking.cancelled_at and not booking.held_until for booking in job.bookings.all())


def _initial(request, first_day):
    return {
        "jobs": request.GET.getlist("jobs"),
        "first_day": first_day.isoformat(),
        "days": str(habits()["search"]["days"]),
    }


@allow("testing.schedule")
@require_POST
def take(request):
    """Book or hold one proposal, for all its jobs or for none."""
    form = TakeForm(request.POST)
    back = _back(request)
    if not form.is_valid():
        messages.error(request, "That proposal cannot be read any more. Look for a morning again.")
        return redirect(back)
    facts = form.cleaned_data
    if facts["reason"] and not facts["cause"]:
        messages.error(request, "Choose what the booked day is given up for. Nothing was booked.")
        return redirect(back)
    try:
        made = together.book_together(
            by=request.user,
            jobs=list(facts["jobs"]),
            site=facts["site"],
            starts_at=facts["start"],
            hold_h=form.hold_h,
            reason=facts["reason"],
            cause=facts["cause"],
        )
    except Refused as refused:
        messages.error(request, f"{refused} Nothing was booked.")
        return redirect(back)
    word = "Held" if made[0].held_until else "Booked"
    for booking in made:
        messages.success(request, f"{word} for {booking.job.number}: {booking}.")
    return redirect("testing:planner")


@allow("testing.schedule")
@require_POST
def offer(request):
    """Ask the owners about several mornings before anything is booked."""
    form = OfferForm(request.POST)
    back = _back(request)
    if not form.is_valid():
        messages.error(request, "Tick at least one morning that is still ahead, then ask about it.")
        return redirect(back)
    for job in form.cleaned_data["jobs"]:
        asked = offers.offer(job=job, by=request.user, mornings=form.words)
        count = f"{len(asked)} morning{'s' * (len(asked) > 1)}"
        messages.success(
            request, f"{job.number}: {job.owner.name} is asked about {count}; the answer comes to the desk."
        )
    return redirect(back)


def _back(request):
    """The same search again, for the jobs that there are."""
    numbers = [number for number in request.POST.getlist("jobs") if "\x00" not in number]
    known = Job.objects.filter(number__in=numbers).values_list("number", flat=True)
    return f"{reverse('testing:find')}?{urlencode({'jobs': list(known)}, doseq=True)}"
