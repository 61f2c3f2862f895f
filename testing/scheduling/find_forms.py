"""The form that looks for a morning."""

from django import forms
from django.utils import timezone

from jobs.models import Job
from testing.models import Site
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


class TakeForm(forms.Form):
    """One proposal, to be booked or held."""

    jobs = forms.ModelMultipleChoiceField(Job.objects.with_people(), to_field_name="number")
    site = forms.ModelChoiceField(Site.objects.all())
    start = forms.DateTimeField()
    hold = forms.BooleanField(required=False)
    reason = forms.CharField(max_length=150, required=False)

    def clean_start(self):
        start, now = self.cleaned_data["start"], timezone.now()
        if not now < start < now + FARTHEST:
            raise forms.ValidationError("That time is over, or more than two years away.")
        return start

    @property
    def hold_h(self):
        return habits()["hold_h"] if self.cleaned_data["hold"] else None
