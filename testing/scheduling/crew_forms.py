"""The forms of the crew, and of whose vehicles somebody may not drive."""

from django import forms
from django.db.models import Q

from jobs.models import User
from testing.models import BarredOwner, CrewMember
from testing.scheduling.inputs import day_input
from vehicles.calculations.ranges import CREW
from vehicles.fields import QuantityField
from vehicles.layout import set_out


class CrewForm(forms.ModelForm):
    """Somebody of the crew. Who may drive needs evidence, and a date until which it holds."""

    mass_kg = QuantityField(
        row=CREW["driver_kg"],
        label="Mass, dressed for the test",
        required=False,
        help_text="With helmet and boots. The test masses count it.",
    )

    class Meta:
        model = CrewMember
        fields = [
            "name", "user", "email", "phone", "drives", "skill_evidence", "evidence_valid_to", "mass_kg", "observes",
        ]  # fmt: skip
        labels = {"user": "Account", "email": "E-mail", "evidence_valid_to": "Evidence holds until"}
        help_texts = {
            "user": "The account with which they open their day sheets.",
            "email": "Bookings, moves, cancellations and go or no-go are sent there.",
        }
        error_messages = {"user": {"unique": "This account belongs to another member of the crew already."}}
        widgets = {"evidence_valid_to": day_input()}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["user"].queryset = (
            User.objects.filter(Q(groups__name="driver", is_active=True) | Q(pk=self.instance.user_id))
            .distinct()
            .order_by("username")
        )
        self.fields["user"].empty_label = "none"
        self.fields["user"].label_from_instance = lambda user: f"{user.full_name} ({user.username})"
        set_out(self)

    def clean(self):
        cleaned = super().clean()
        if cleaned.get("drives"):
            for name, missing in (
                ("skill_evidence", "Who may drive tests needs evidence of skill: what is it?"),
                ("evidence_valid_to", "Who may drive tests needs a date until which the evidence holds."),
            ):
                if not cleaned.get(name) and name not in self.errors:
                    self.add_error(name, missing)
        return cleaned


class BarredForm(forms.ModelForm):
    """Whose vehicles this person may not drive."""

    class Meta:
        model = BarredOwner
        fields = ["owner", "reason"]
        help_texts = {"owner": "As it stands on the job; capitals and blanks do not matter."}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)

    def clean_owner(self):
        owner = self.cleaned_data["owner"]
        if self.instance.member.barred.filter(owner__iexact=owner).exists():
            raise forms.ValidationError(f"{owner} is on the list already.")
        return owner
