"""Bringing a log in: the file, its instrument, where the course lies, and what its columns are."""

from django import forms

from testing.testday import matching
from testing.testday.models import ColumnMapping
from vehicles.calculations.log_formats_csv import UNITS
from vehicles.calculations.ranges import Range
from vehicles.fields import QuantityField
from vehicles.layout import set_out

LABELS = {
    "time": "Time",
    "x": "Place along the course",
    "y": "Place across the course, to the left",
    "latitude": "Latitude",
    "longitude": "Longitude",
    "speed": "Speed",
    "lateral": "Lateral acceleration, to the left",
    "tilt": "Tilt",
}
FRAME = {
    "start_latitude": Range(name="start_latitude", label="Latitude at the start", low=-90, high=90, unit="°"),
    "start_longitude": Range(name="start_longitude", label="Longitude at the start", low=-180, high=180, unit="°"),
    "end_latitude": Range(name="end_latitude", label="Latitude further along", low=-90, high=90, unit="°"),
    "end_longitude": Range(name="end_longitude", label="Longitude further along", low=-180, high=180, unit="°"),
}


class LogForm(forms.Form):
    """One file of one instrument."""

    file = forms.FileField(label="File", help_text="CSV with headings, GPX 1.1 or NMEA 0183; at most 40 MB.")
    instrument = forms.CharField(
        label="Instrument", max_length=60, help_text="By the name you always use: its columns are remembered."
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name, row in FRAME.items():
            self.fields[name] = QuantityField(row=row, required=False)
        known = ColumnMapping.objects.order_by("instrument").values_list("instrument", flat=True)
        if known:
            self.fields["instrument"].help_text += f" Known: {', '.join(known)}."
        self.fields["start_latitude"].help_text = (
            "Two points of the baseline, for positions on the globe: x = 0 on the string line, and a point of the line "
            "further along. On the line, not at the middle of a cone, which stands half a base outside it."
        )
        set_out(self, ("The log", ["file", "instrument"]), ("Where the course lies", list(FRAME)))

    def clean_instrument(self):
        return " ".join(self.cleaned_data["instrument"].split())

    def clean(self):
        cleaned = super().clean()
        given = [name for name in FRAME if cleaned.get(name) is not None]
        if given and len(given) < len(FRAME):
            missing = next(name for name in FRAME if name not in given)
            self.add_error(missing, "Enter all four, or none for places in metres.")
        return cleaned

    def frame(self):
        found = {name: self.cleaned_data[name] for name in FRAME}
        return None if None in found.values() else found


class ColumnsForm(forms.Form):
    """Which column is what, and in which unit."""

    def __init__(self, *args, headings, **kwargs):
        super().__init__(*args, **kwargs)
        for name, units in UNITS.items():
            needed = name in ("time", "speed")
            choices = [("", "choose a column" if needed else "not in this file"), *((one, one) for one in headings)]
            # Where there is one unit only, it is told and not asked.
            label = f"{LABELS[name]} ({next(iter(units))})" if len(units) == 1 else LABELS[name]
            self.fields[name] = forms.ChoiceField(label=label, choices=choices, required=needed)
            if len(units) > 1:
                self.fields[f"{name}_unit"] = forms.ChoiceField(
                    label=f"{LABELS[name].partition(',')[0]}: unit", choices=[(unit, unit) for unit in units]
                )
        set_out(self)

    def columns(self):
        return {
            name: {"heading": self.cleaned_data[name], "unit": self.cleaned_data.get(f"{name}_unit", next(iter(units)))}
            for name, units in UNITS.items()
            if self.cleaned_data[name]
        }


class PassesForm(forms.Form):
    """Which pass is which run, where clock and order do not tell."""

    def __init__(self, *args, day, pairs, **kwargs):
        super().__init__(*args, **kwargs)
        self.pairs = pairs
        self.free = {str(run.number): run for run in matching.free_runs(day)}
        suggested = matching.likely(day, pairs)
        choices = [("", "no run on this sheet"), *((number, str(run)) for number, run in self.free.items())]
        for pair in pairs:
            run = suggested[pair.number]
            self.fields[self.name(pair)] = forms.ChoiceField(
                label=pair.name, choices=choices, required=False, initial=str(run.number) if run else ""
            )
        set_out(self)

    @staticmethod
    def name(pair):
        return f"pass_{pair.number}"

    def clean(self):
        cleaned = super().clean()
        seen = {}
        for pair in self.pairs:
            number = cleaned.get(self.name(pair))
            if number and number in seen:
                self.add_error(self.name(pair), f"Run {number} is {seen[number]} already: one pass for each run.")
            elif number:
                seen[number] = pair.name
        return cleaned

    def runs(self):
        return {pair.number: self.free.get(self.cleaned_data[self.name(pair)]) for pair in self.pairs}
