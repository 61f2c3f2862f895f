"""The two ways in which a forecast gets in: typed for one day, or uploaded as a file."""

from django import forms

from testing.scheduling import readings, records
from testing.scheduling.inputs import DayField
from vehicles.layout import set_out

LONGEST_TEXT = 5_000
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
        "A dash stands for what is not known. Hours before the test count too: rain in them wets the surface.",
    )
    origin = forms.CharField(label="Where it comes from", max_length=80, help_text="Which forecast, issued when.")

    def read(self, cleaned):
        return records.read_lines(cleaned["hours"], day=cleaned["day"], zone=self.zone, unit=cleaned["unit"])


class UploadedForecastForm(_RecordForm):
    """A CSV file of hours."""

    record = "file"
    field_order = ["file", "unit"]

    file = forms.FileField(label="CSV file", help_text="At most 1 MB and 5,000 rows.")

    def read(self, cleaned):
        upload = cleaned["file"]
        if upload.size > records.LARGEST_BYTES:
            raise records.too_large(upload.size)
        self.origin = f"File {''.join(letter for letter in upload.name if letter.isprintable())}"[:120]
        return records.read_csv(upload.read(), zone=self.zone, unit=cleaned["unit"])
