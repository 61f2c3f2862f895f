"""Sites, crew, instruments and ballast: added and kept up to date."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from jobs import drafts
from jobs.access import allow
from jobs.views.handing_over import handed_over
from jobs.views.shared import saved
from testing.models import BallastStock, BarredOwner, CrewMember, Instrument, Site, SiteBlackout
from testing.scheduling import climate, risk
from testing.scheduling.crew_forms import BarredForm, CrewForm
from testing.scheduling.gear_forms import BallastForm, InstrumentForm
from testing.scheduling.site_forms import BlackoutForm, SiteForm


@allow("testing.schedule")
def add_site(request):
    return _edit(request, SiteForm, Site(), "site.html")


@allow("testing.schedule")
def site(request, pk):
    return _edit(request, SiteForm, get_object_or_404(Site, pk=pk), "site.html", then=_site_changed)


def _site_changed(site):
    climate.count(site)
    risk.look_at(site=site)


@allow("testing.schedule")
def add_crew_member(request):
    return _edit(request, CrewForm, CrewMember(), "crew_member.html")


@allow("testing.schedule")
def crew_member(request, pk):
    return _edit(request, CrewForm, get_object_or_404(CrewMember, pk=pk), "crew_member.html")


@allow("testing.schedule")
def add_instrument(request):
    return _edit(request, InstrumentForm, Instrument(), "instrument.html")


@allow("testing.schedule")
def instrument(request, pk):
    return _edit(request, InstrumentForm, get_object_or_404(Instrument, pk=pk), "instrument.html")


@allow("testing.view_schedule")
def calibration(request, pk):
    """The calibration certificate as it was uploaded."""
    instrument = get_object_or_404(Instrument, pk=pk)
    if not instrument.document:
        raise Http404
    return handed_over(instrument.document, name=f"calibration-{instrument.pk}", content_type=instrument.document_type)


@allow("testing.schedule")
def add_ballast(request):
    return _edit(request, BallastForm, BallastStock(), "ballast.html")


@allow("testing.schedule")
def ballast(request, pk):
    return _edit(request, BallastForm, get_object_or_404(BallastStock, pk=pk), "ballast.html")


def _edit(request, form_class, instance, template, then=None):
    form = drafts.fill(form_class, request, instance=instance)
    if request.method == "POST" and form.is_valid():
        made = form.save()
        if then:
            then(made)
        return saved(request, f"{made} saved.", "testing:planner")
    # The form writes into its instance even when it refuses; the heading keeps the stored name.
    title = form.initial.get("name") if instance.pk else None
    shown = {"form": form, "title": title, "pk": instance.pk, "kept": instance if instance.pk else None}
    return render(request, f"testing/scheduling/{template}", shown)


@allow("testing.schedule")
def site_blackouts(request, pk):
    """Days on which the site cannot be had."""
    site = get_object_or_404(Site, pk=pk)
    form = drafts.fill(BlackoutForm, request, instance=SiteBlackout(site=site))
    if request.method == "POST" and form.is_valid():
        form.save()
        risk.look_at(site=site)
        return saved(request, "Days kept free.", "testing:site_blackouts", site.pk)
    shown = {"site": site, "form": form, "blackouts": site.blackouts.all()}
    return render(request, "testing/scheduling/site_blackouts.html", shown)


@allow("testing.schedule")
@require_POST
def remove_blackout(request, pk, blackout):
    site = get_object_or_404(Site, pk=pk)
    SiteBlackout.objects.filter(site=site, pk=blackout).delete()
    risk.look_at(site=site)
    messages.success(request, "These days can be booked again.")
    return redirect("testing:site_blackouts", site.pk)


@allow("testing.schedule")
def barred_owners(request, pk):
    """Whose vehicles somebody of the crew may not drive."""
    member = get_object_or_404(CrewMember, pk=pk)
    form = drafts.fill(BarredForm, request, instance=BarredOwner(member=member))
    if request.method == "POST" and form.is_valid():
        form.save()
        return saved(request, "Put on the list.", "testing:barred_owners", member.pk)
    shown = {"member": member, "form": form, "barred": member.barred.all()}
    return render(request, "testing/scheduling/barred_owners.html", shown)


@allow("testing.schedule")
@require_POST
def remove_barred(request, pk, barred):
    member = get_object_or_404(CrewMember, pk=pk)
    BarredOwner.objects.filter(member=member, pk=barred).delete()
    messages.success(request, "Taken off the list.")
    return redirect("testing:barred_owners", member.pk)
