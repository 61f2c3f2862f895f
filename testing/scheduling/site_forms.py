"""The forms of a site, and of the days on which it cannot be had."""

from datetime import date

from django import forms

from testing.models import Site, SiteBlackout
from testing.scheduling.inputs import DayField, time_input
from vehicles.calculations.daylight import LATITUDE, LONGITUDE, daylight
from vehicles.calculations.errors import CalculationError
from vehicles.calculations.ranges import Range
from vehicles.fields import QuantityField
from vehicles.layout import set_out

LENGTH = Range(name="length_m", label="Usable length", low=50, high=10_000, unit="m")
BEFORE = Range(name="before_m", label="Of it, at one end, for running up or off only", low=0, high=10_000, unit="m")
AFTER = Range(name="after_m", label="Of it, at the other end, the same", low=0, high=10_000, unit="m")
WIDTH = Range(name="width_m", label="Usable width", low=3, high=1_000, unit="m")
# Shortest and longest day: where the sun rises and sets on both, it does so all year.
SOLSTICES = (date(2026, 6, 21), date(2026, 12, 21))
# Lord Howe Island changes its clocks by half an hour: an hourly record cannot be kept across that.
ZONES = [
    f"Australia/{place}"
    for place in (
        "Sydney", "Melbourne", "Brisbane", "Adelaide", "Perth", "Hobart", "Darwin", "Broken_Hill", "Lindeman", "Eucla",
    )
]  # fmt: skip


class SiteForm(forms.ModelForm):
    """A site as it was measured."""

    time_zone = forms.ChoiceField(
        label="Time zone",
        choices=[(name, name.replace("_", " ")) for name in ZONES],
        help_text="Hours, forecasts and bookings of the site are entered and shown in it.",
    )
    latitude_deg = QuantityField(
        row=LATITUDE, required=False, help_text="South is negative: -33.87. With it, daylight and forecasts are known."
    )
    longitude_deg = QuantityField(row=LONGITUDE, required=False, help_text="East is positive: 151.21.")
    length_m = QuantityField(row=LENGTH, help_text="From end to end, run-up and run-off counted in.")
    before_m = QuantityField(row=BEFORE, required=False, help_text="Too narrow or rough for cones, good for driving.")
    after_m = QuantityField(row=AFTER, required=False)
    width_m = QuantityField(row=WIDTH, help_text="Where the course stands, free of posts, kerbs and drops.")
    level = forms.TypedChoiceField(
        label="Level in both directions",
        required=False,
        choices=[("", "not known yet"), ("yes", "yes"), ("no", "no")],
        coerce=lambda word: word == "yes",
        empty_value=None,
    )

    class Meta:
        model = Site
        fields = [
            "name", "place", "time_zone", "latitude_deg", "longitude_deg", "opens", "closes", "length_m", "before_m",
            "after_m", "width_m", "level", "surface", "hire_aud", "contact", "phone", "email",
        ]  # fmt: skip
        labels = {
            "opens": "Open from",
            "closes": "Open until",
            "hire_aud": "Hire per booking (AUD)",
            "contact": "Who keeps the site",
            "email": "E-mail",
        }
        help_texts = {
            "closes": "Where latitude and longitude are not known, enter hours within daylight.",
            "surface": "Sealed or not, what it is made of, how it grips.",
            "email": "Bookings, moves and cancellations are sent there.",
        }
        widgets = {"opens": time_input(), "closes": time_input()}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if isinstance(self.instance.level, bool):
            self.initial["level"] = "yes" if self.instance.level else "no"
        self.fields["hire_aud"].min_value = 0
        set_out(
            self,
            ("Place", ["name", "place", "time_zone", "latitude_deg", "longitude_deg", "opens", "closes"]),
            ("Room", ["length_m", "before_m", "after_m", "width_m", "level", "surface"]),
            ("Price and contact", ["hire_aud", "contact", "phone", "email"]),
        )

    def clean_time_zone(self):
        zone = self.cleaned_data["time_zone"]
        if self.instance.pk and zone != self.instance.time_zone and self._in_use():
            raise forms.ValidationError(
                "Forecast or bookings were entered in %(zone)s already. Add the place as a new site instead.",
                params={"zone": self.instance.time_zone},
            )
        return zone

    def _in_use(self):
        return any(rows.exists() for rows in (self.instance.forecast, self.instance.past, self.instance.bookings))

    def clean_hire_aud(self):
        price = self.cleaned_data["hire_aud"]
        if price is not None and price < 0:
            raise forms.ValidationError("A price is 0 or more.")
        return price

    def clean(self):
        cleaned = super().clean()
        opens, closes = cleaned.get("opens"), cleaned.get("closes")
        if opens and closes and opens >= closes:
            self.add_error("closes", f"{closes:%H:%M} is not after {opens:%H:%M}, when the site opens.")
        self._check_place(cleaned)
        self._check_parts(cleaned)
        return cleaned

    def _check_place(self, cleaned):
        latitude, longitude = cleaned.get("latitude_deg"), cleaned.get("longitude_deg")
        if (latitude is None) != (longitude is None):
            missing = "latitude_deg" if latitude is None else "longitude_deg"
            if missing not in self.errors:
                self.add_error(missing, "Latitude and longitude belong together: enter both or neither.")
        elif latitude is not None:
            try:
                for day in SOLSTICES:
                    daylight(latitude_deg=latitude, longitude_deg=longitude, day=day)
            except CalculationError:
                self.add_error(
                    "latitude_deg",
                    f"At {latitude:g}° the sun does not rise and set on every day of the year. "
                    "Allowed: latitudes between the polar circles, about -65.7 to 65.7.",
                )

    def _check_parts(self, cleaned):
        length, width = cleaned.get("length_m"), cleaned.get("width_m")
        ends = (cleaned.get("before_m") or 0) + (cleaned.get("after_m") or 0)
        if length and width and ends >= length and not {"before_m", "after_m"} & set(self.errors):
            self.add_error(
                "after_m", f"The two ends take {ends:g} m of {length:g} m: nothing is left for the course to stand on."
            )


class BlackoutForm(forms.ModelForm):
    """Days on which the site cannot be had."""

    first_day = DayField(label="First day")
    last_day = DayField(label="Last day")

    class Meta:
        model = SiteBlackout
        fields = ["first_day", "last_day", "reason"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)

    def clean(self):
        cleaned = super().clean()
        first, last = cleaned.get("first_day"), cleaned.get("last_day")
        if first and last and last < first:
            self.add_error("last_day", "The last day is before the first.")
        return cleaned
