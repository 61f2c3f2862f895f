"""The forms about a vehicle. They speak the trade's language and refuse with the allowed range."""

from django import forms

from vehicles import measured, uploads
from vehicles.calculations import modifications, ranges, tyres
from vehicles.calculations.errors import CalculationError, CaseError
from vehicles.calculations.parse_case import parse_case
from vehicles.case import case_data
from vehicles.fields import PercentField, QuantityField
from vehicles.layout import set_out
from vehicles.models import Document, Modification, Vehicle

_HELP = {
    "gvm_kg": "As rated before any upgrade. Other units work too: 2950, 2.95 t, 6504 lb.",
    "seats": "Before any change of seating, the driver's included.",
    "empty_mass_kg": "Nobody aboard, all standard equipment in its place.",
    "missing_equipment_kg": "Spare wheel, jack, tools, seats that were not aboard: the test masses put it back.",
    "fuel_level": "How full the tank was on the scales.",
    "overall_width_mm": "Without mirrors, at the widest point as it stands now.",
    "cg_height_mm": "As somebody else measured it. Leave empty when it was weighed here (below) or not at all.",
    "lift_static_radius_mm": "From the middle of the hub to the ground, loaded.",
    "lift_scale_error_kg": "Left empty: 2 kg.",
    "lift_angle_error_deg": "What the height of the lift leaves. Left empty: 0.2°.",
    "lift_1_raised_mm": "At least three steps, suspension locked, tank as for the weighing above.",
    "corner_front_left_kg": "One scale under each wheel, in the state of the weighing above.",
    "row_1_x_mm": "Front row, from the front axle to the hip; the driver's seat counts.",
    "lift_raised_axle": "The other one stays on the scales.",
    "driver_x_mm": "From the centre of the front axle to the driver's hip; in front of the axle is negative.",
    "market_value_aud": "Without the modifications: what insurance has to cover.",
}


_WEIGHED = ("empty_mass_kg", "front_axle_kg", "rear_axle_kg")


def clean_identity(text):
    """Plates and VINs are typed with blanks and dashes; they are kept without."""
    return "".join(text.upper().split()).replace("-", "")


class VehicleForm(forms.ModelForm):
    """All facts of the vehicle. Only make and model are asked for; what is left out is undecided."""

    class Meta:
        model = Vehicle
        fields = [
            "make", "model", "built_year", "vin", "chassis_number", "plate", "plate_state", "adr_category",
            *ranges.VEHICLE, *ranges.PLACES, *measured.COLUMNS, "lift_raised_axle", "fuel", "tyre", "esc",
        ]  # fmt: skip
        help_texts = {
            "vin": "17 characters, from the plate or the papers.",
            "chassis_number": "Where the vehicle is older than VINs are.",
            "tyre": "As before the change: 265/65R17.",
            "lift_raised_axle": _HELP["lift_raised_axle"],
        }
        labels = {"tyre": "Tyre size, original"}
        widgets = {"tyre": forms.TextInput(attrs={"autocomplete": "off"})}

    # A longer box than the column: blanks and dashes are taken out before the length counts.
    vin = forms.CharField(label="VIN", required=False, max_length=30)

    def __init__(self, *args, jurisdiction, **kwargs):
        super().__init__(*args, **kwargs)
        self.jurisdiction = jurisdiction
        self.fields["vin"].help_text = self.Meta.help_texts["vin"]
        for name, row in (ranges.VEHICLE | ranges.PLACES | measured.COLUMNS).items():
            field = PercentField if name == "fuel_level" else QuantityField
            self.fields[name] = field(row=row, required=False, help_text=_HELP.get(name, ""))
        set_out(
            self,
            ("Identity", ["make", "model", "built_year", "vin", "chassis_number", "plate", "plate_state"]),
            ("Ratings", ["adr_category", "gvm_kg", "seats", "front_axle_rating_kg", "rear_axle_rating_kg"]),
            ("As weighed", [*_WEIGHED, "missing_equipment_kg", "fuel", "fuel_tank_l", "fuel_level"]),
            (
                "Dimensions as presented",
                [
                    "overall_width_mm", "overall_length_mm", "overall_height_mm", "wheelbase_mm",
                    "front_overhang_mm", "track_front_mm", "track_rear_mm", "cg_height_mm",
                ],
            ),
            ("Tyres, safety, value", ["tyre", "esc", "market_value_aud"]),
            ("Where the loads sit (for the axle loads at both test masses)", list(ranges.PLACES)),
            ("Rows of seats (for the loading plan)", list(measured.SEAT_ROWS)),
            ("Corner weights (for where the centre of gravity lies across)", list(measured.CORNERS)),
            (
                "Axle-lift weighing (for the height of the centre of gravity)",
                ["lift_raised_axle", *measured.LIFT, *measured.LIFT_STEPS],
            ),
        )  # fmt: skip

    def clean_vin(self):
        return clean_identity(self.cleaned_data["vin"])

    def clean_chassis_number(self):
        return self.cleaned_data["chassis_number"].upper()

    def clean_plate(self):
        return clean_identity(self.cleaned_data["plate"])

    def clean_seats(self):
        return _whole(self.cleaned_data["seats"])

    def clean_row_1_seats(self):
        return _whole(self.cleaned_data["row_1_seats"])

    def clean_row_2_seats(self):
        return _whole(self.cleaned_data["row_2_seats"])

    def clean_row_3_seats(self):
        return _whole(self.cleaned_data["row_3_seats"])

    def clean_tyre(self):
        return clean_tyre(self.cleaned_data["tyre"])

    def clean(self):
        """Facts that are each possible can still contradict each other: the case finds that."""
        cleaned = super().clean()
        known = Vehicle(**{name: value for name, value in cleaned.items() if name in self._meta.fields})
        fitted = self.instance.modifications.all() if self.instance.pk else ()
        facts = case_data(known, jurisdiction=self.jurisdiction, modifications=fitted)
        try:
            parse_case(facts)
        except CaseError as error:
            for problem in error.problems:
                name = measured.field_of(problem.path)
                if name in self.fields and name not in self.errors:
                    self.add_error(name, problem.message)
        return cleaned


def _whole(number):
    return number if number is None else int(number)


def clean_tyre(text):
    text = text.strip()
    if text:
        try:
            tyres.read_tyre(text)
        except CalculationError as error:
            raise forms.ValidationError(f"“{text}” cannot be read as a tyre size. Allowed: {error.allowed}.") from error
    return text


class ModificationForm(forms.ModelForm):
    """One modification: only the measurements that its kind asks for."""

    class Meta:
        model = Modification
        fields = ["note"]
        help_texts = {"note": "Make and part, as on the receipt."}

    def __init__(self, *args, kind, original_tyre="", **kwargs):
        super().__init__(*args, **kwargs)
        self.original_tyre = original_tyre
        self.kind = modifications.KINDS[kind]
        self.instance.kind = kind
        measured = self.kind.names
        for row in self.kind.numbers:
            self.fields[row.name] = QuantityField(row=row, required=False)
        for key, label in self.kind.text.items():
            self.fields[key] = forms.CharField(label=label, required=False, max_length=40)
        for name in self.kind.optional:
            self.fields[name].help_text = "Only where it is close to a limit: fitted and inflated."
        if measured:
            self.fields[measured[0]].help_text = self.kind.help
        first = self.fields[measured[0] if measured else "note"]
        first.widget.attrs["autofocus"] = True
        set_out(self, ("", [*measured, "note"]))

    def clean_to(self):
        return clean_tyre(self.cleaned_data["to"])

    def clean(self):
        cleaned = super().clean()
        self.instance.values = {name: cleaned[name] for name in self.kind.names if cleaned.get(name) not in (None, "")}
        self._hold_against_the_size("to_diameter_mm", cleaned.get("to"))
        self._hold_against_the_size("from_diameter_mm", self.original_tyre)
        return cleaned

    def _hold_against_the_size(self, name, size):
        diameter_mm = self.cleaned_data.get(name)
        if size and diameter_mm is not None:
            try:
                tyres.as_measured(tyres.read_tyre(size), diameter_mm=diameter_mm)
            except CalculationError as error:
                self.add_error(name, f"{error.detail}: a diameter, not a radius or a circumference.")


class _ManyFilesInput(forms.FileInput):
    allow_multiple_selected = True


class _ManyFilesField(forms.FileField):
    """Cleans to a list of files; an empty list when none was chosen."""

    widget = _ManyFilesInput

    def clean(self, data, initial=None):
        return [super(_ManyFilesField, self).clean(upload, None) for upload in data or ()]


class DocumentForm(forms.Form):
    """Photos or papers. What each one is, is decided by its bytes and not by its name."""

    kind = forms.ChoiceField(label="What is it", choices=Document.Kind.choices)
    caption = forms.CharField(label="Caption", max_length=120, help_text="What it shows or proves.")
    shot = _ManyFilesField(
        label="Take a photo",
        required=False,
        widget=_ManyFilesInput(attrs={"accept": "image/*", "capture": "environment"}),
        help_text="Opens the camera of a phone.",
    )
    upload = _ManyFilesField(
        label="Files",
        required=False,
        widget=_ManyFilesInput(attrs={"accept": "image/jpeg,image/png,image/webp,application/pdf"}),
        help_text=f"Photos as JPEG, PNG or WebP, papers as PDF or photo; at most {uploads.LARGEST_MB} MB each, "
        f"{uploads.MOST_AT_ONCE} at once. The place where a photo was taken is not kept.",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)

    def clean(self):
        cleaned = super().clean()
        files = [*(cleaned.get("shot") or ()), *(cleaned.get("upload") or ())]
        self.recognised = []
        if not files and not self.errors:
            self.add_error("upload", "No file came with it: take a photo or choose a file.")
        if len(files) > uploads.MOST_AT_ONCE:
            self.add_error("upload", f"{len(files)} files; allowed are {uploads.MOST_AT_ONCE} at once.")
        elif kind := cleaned.get("kind"):
            for upload in files:
                self._recognise(upload, photo=kind == Document.Kind.PHOTO)
        return cleaned

    def _recognise(self, upload, *, photo):
        try:
            self.recognised.append((upload, uploads.recognise(upload, photo=photo)))
        except uploads.Refused as error:
            self.add_error("upload", str(error))
