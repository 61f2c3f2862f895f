"""The ways in which hours get in: typed for one day, or uploaded as a file whose columns are explained once."""

import hashlib

from django import forms

from testing.models import WeatherColumns
from testing.scheduling import readings, records
from testing.scheduling.inputs import DayField
from vehicles.layout import set_out

LONGEST_TEXT = 5_000
MOST_COLUMNS = 60
UNIT_CHOICES = [(unit, unit) for unit in readings.UNITS]


class _RecordForm(forms.Form):
    """Reads a record for one site; what is wrong with it is said line by line."""

    unit = forms.ChoiceField(label="Wind and gust are in", choices=UNIT_CHOICES, initial="m/s")

    def __init__(self, *args, zone, **kwargs):
        super().__init__(*args, **kwargs)
        self.zone = zone
        set_out(self)

    def clean(self):
        cleaned = super().clean()
        if not self.errors:
            try:
                cleaned["readings"] = self.read(cleaned)
            except records.Unreadable as error:
                self.add_error(self.record, error.problems)
        return cleaned


class TypedForecastForm(_RecordForm):
    """One row for each hour of one day."""

    record = "hours"
    field_order = ["day", "unit", "hours", "origin"]

    day = DayField(label="Date")
    hours = forms.CharField(
        label="Hours",
        max_length=LONGEST_TEXT,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 12, "spellcheck": "false"}),
        help_text="One row an hour: time, wind, gust, rain in mm, such as “06:00 2.1 3.0 0”. "
        "A row is the hour that begins at its time; what a forecast states for the hour before a time goes one row up. "
        "A dash stands for what is not known. Hours before the test count too: rain in them wets the surface.",
    )
    origin = forms.CharField(label="Where it comes from", max_length=80, help_text="Which forecast, issued when.")

    def read(self, cleaned):
        return records.read_lines(cleaned["hours"], day=cleaned["day"], zone=self.zone, unit=cleaned["unit"])


class UploadedForecastForm(_RecordForm):
    """A CSV file of hours. ``waiting`` is its text when its columns have to be explained first."""

    record = "file"
    field_order = ["what", "file", "unit"]
    waiting = None

    what = forms.ChoiceField(
        label="What it holds",
        required=False,
        choices=[("forecast", "a forecast"), ("past", "what was measured in the past")],
        help_text="A year or more of the past tells how likely a morning is to work.",
    )
    file = forms.FileField(
        label="CSV file",
        help_text="At most 2 MB and 20,000 rows. Each row is the hour that begins at its time, rain and gust too.",
    )

    @property
    def past(self):
        return self.cleaned_data["what"] == "past"

    def read(self, cleaned):
        upload = cleaned["file"]
        if upload.size > records.LARGEST_BYTES:
            raise records.too_large(upload.size)
        self.origin = f"File {''.join(letter for letter in upload.name if letter.isprintable())}"[:120]
        text = records.text_of(upload.read())
        try:
            return records.read_csv(text, zone=self.zone, unit=cleaned["unit"])
        except records.UnknownColumns as error:
            return self._by_what_is_remembered(text, error)

    def _by_what_is_remembered(self, text, error):
        known = WeatherColumns.objects.filter(header=signature(error.names)).first()
        if known:
            return records.read_csv(text, zone=self.zone, unit=known.unit, columns=records.Columns(**known.columns))
        if not explainable(error.names):
            raise error
        self.waiting = text
        return []


def explainable(names):
    """Whether a header can be explained at all: a few printable names, each its own."""
    return (
        2 <= len(names) <= MOST_COLUMNS
        and len(set(names)) == len(names)
        and all(name.isprintable() and len(name) <= 80 for name in names)
    )


def signature(names):
    """By what a header is known again."""
    return hashlib.sha256("\n".join(name.lower() for name in names).encode()).hexdigest()


class ColumnsForm(_RecordForm):
    """Which column of a waiting file is which. Remembered for every file with the same header."""

    record = None
    field_order = ["time", "times", "clock", "wind", "unit", "gust", "rain", "rain_unit"]

    time = forms.TypedChoiceField(label="Time", coerce=int)
    times = forms.ChoiceField(
        label="Times are written",
        choices=[("iso", "2026-12-03T06:00 or 2026-12-03 06:00"), ("dmy", "03/12/2026 06:00, the day first")],
    )
    clock = forms.ChoiceField(
        label="On which clock",
        choices=[("site", "the clock of the site"), ("utc", "UTC")],
        help_text="Times that carry their own offset keep it.",
    )
    wind = forms.TypedChoiceField(label="Wind", coerce=int)
    gust = forms.TypedChoiceField(label="Gust", coerce=int, required=False, empty_value=None)
    rain = forms.TypedChoiceField(label="Rain", coerce=int, required=False, empty_value=None)
    rain_unit = forms.ChoiceField(label="Rain is in", choices=[(unit, unit) for unit in readings.RAIN_UNITS])

    def __init__(self, *args, text, **kwargs):
        self.text = text
        self.names = records.header_of(text)
        super().__init__(*args, **kwargs)
        columns = [(str(number), name) for number, name in enumerate(self.names)]
        for name in records.COLUMNS:
            blank = [("", "choose a column" if name in records.NEEDED else "not in the file")]
            self.fields[name].choices = blank + columns
        set_out(self)

    def read(self, cleaned):
        chosen = [cleaned[name] for name in records.COLUMNS if cleaned[name] is not None]
        if len(set(chosen)) != len(chosen):
            raise records.Unreadable(["One column cannot be two things: choose each once."])
        columns = records.Columns(**self.columns(cleaned))
        return records.read_csv(self.text, zone=self.zone, unit=cleaned["unit"], columns=columns)

    def columns(self, cleaned):
        names = (*records.COLUMNS, "times", "clock", "rain_unit")
        return {name: cleaned[name] for name in names}
