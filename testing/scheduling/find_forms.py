"""The form that looks for a morning."""

from django import forms
from django.utils import timezone

from jobs.models import Job
from testing.models import Site
from testing.scheduling.booking_models import CAUSES
from testing.scheduling.habits import habits
from testing.scheduling.inputs import DayField
from testing.scheduling.objections import FARTHEST
from vehicles.layout import set_out

DAYS = [(str(days), f"{days} days") for days in (7, 14, 28, 60, 120, 365)]


class _JobsField(forms.ModelMultipleChoiceField):
    def label_from_instance(self, job):
        booked = ", booked" if any(not booking.cancelled_at for booking in job.bookings.all()) else ""
        return f"{job.number}: {job.vehicle}, {job.owner}{booked}"


class FindForm(forms.Form):
    """For which jobs, from which day on, for how many days."""

    jobs = _JobsField(
        Job.objects.none(),
        to_field_name="number",
        widget=forms.CheckboxSelectMultiple,
        help_text="Several are driven on one day at one site, one after the other.",
        error_messages={"required": "Choose at least one job."},
    )
    first_day = DayField(label="From")
    days = forms.TypedChoiceField(label="For", choices=DAYS, coerce=int, initial=str(habits()["search"]["days"]))
    site = forms.ModelChoiceField(Site.objects.all(), required=False, empty_label="every site")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        open_jobs = Job.objects.filter(stage__in=("scheduling", "testday")).with_people().prefetch_related("bookings")
        self.fields["jobs"].queryset = open_jobs.order_by("stage_since")
        set_out(self)

    def clean_jobs(self):
        jobs = list(self.cleaned_data["jobs"])
        most = habits()["course"]["most_vehicles"]
        if len(jobs) > most:
            raise forms.ValidationError(f"{len(jobs)} vehicles are more than one day takes; at most {most}.")
        return jobs

    def clean_first_day(self):
        day, today = self.cleaned_data["first_day"], timezone.localdate()
        if day > today + FARTHEST:
            raise forms.ValidationError(f"{day:%d/%m/%Y} is more than two years away.")
        return max(day, today)

    def sites(self):
        site = self.cleaned_data["site"]
        return None if site is None else Site.objects.filter(pk=site.pk)


# More than one letter can sensibly ask about.
MOST_OFFERED = 12


class OfferForm(forms.Form):
    """Proposals that owners are asked about: each is the number of its site and its start, with a blank between."""

    jobs = forms.ModelMultipleChoiceField(Job.objects.with_people(), to_field_name="number")
    mornings = forms.Field(required=False)

    def clean_mornings(self):
        sites = {str(site.pk): site for site in Site.objects.all()}
        now, found = timezone.now(), []
        for text in self.data.getlist("mornings")[:MOST_OFFERED]:
            pk, _, start = text.partition(" ")
            try:
                moment = forms.DateTimeField().clean(start)
            except forms.ValidationError:
                continue
            if pk in sites and now < moment < now + FARTHEST:
                found.append((sites[pk], moment))
        if not found:
            raise forms.ValidationError("No morning is ticked that can still be offered.")
        return found

    @property
    def words(self):
        """(day, what the owner reads) on the clock of each site."""
        local = [(site, start.astimezone(site.zone)) for site, start in self.cleaned_data["mornings"]]
        return [
            (start.date(), f"{start:%a} {start.day} {start:%b %Y}, from {start:%H:%M %Z}, {site}")
            for site, start in local
        ]


class TakeForm(forms.Form):
    """One proposal, to be booked or held."""

    jobs = forms.ModelMultipleChoiceField(Job.objects.with_people(), to_field_name="number")
    site = forms.ModelChoiceField(Site.objects.all())
    start = forms.DateTimeField()
    hold = forms.BooleanField(required=False)
    reason = forms.CharField(max_length=150, required=False)
    cause = forms.ChoiceField(choices=CAUSES, required=False)

    def clean_start(self):
        start, now = self.cleaned_data["start"], timezone.now()
        if not now < start < now + FARTHEST:
            raise forms.ValidationError("That time is over, or more than two years away.")
        return start

    @property
    def hold_h(self):
        return habits()["hold_h"] if self.cleaned_data["hold"] else None
