"""Sites and crew: added and kept up to date."""

from django.shortcuts import get_object_or_404, render

from jobs import drafts
from jobs.access import allow
from jobs.views.shared import saved
from testing.models import CrewMember, Site
from testing.scheduling.resource_forms import CrewForm, SiteForm


@allow("testing.schedule")
def add_site(request):
    return _edit(request, SiteForm, Site(), "site.html")


@allow("testing.schedule")
def site(request, pk):
    return _edit(request, SiteForm, get_object_or_404(Site, pk=pk), "site.html")


@allow("testing.schedule")
def add_crew_member(request):
    return _edit(request, CrewForm, CrewMember(), "crew_member.html")


@allow("testing.schedule")
def crew_member(request, pk):
    return _edit(request, CrewForm, get_object_or_404(CrewMember, pk=pk), "crew_member.html")


def _edit(request, form_class, instance, template):
    form = drafts.fill(form_class, request, instance=instance)
    if request.method == "POST" and form.is_valid():
        return saved(request, f"{form.save()} saved.", "testing:planner")
    # The form writes into its instance even when it refuses; the heading keeps the stored name.
    title = form.initial.get("name") if instance.pk else None
    return render(request, f"testing/scheduling/{template}", {"form": form, "title": title, "pk": instance.pk})
