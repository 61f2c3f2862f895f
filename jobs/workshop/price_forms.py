"""An edition of the price book as a form: the head, and a row for each line."""

from decimal import Decimal

from django import forms

from jobs.models import PriceBookEdition
from vehicles.calculations.errors import CaseError
from vehicles.calculations.price_book import PriceBook
from vehicles.layout import set_out

_DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
FOR = [
    ("lane_change", "lane-change test"),
    ("driving_report", "driving report"),
    ("lane_change driving_report", "either of the two"),
    ("always", "every job"),
]


def _number(label, *, most, places=2):
    return forms.DecimalField(label=label, min_value=0, max_value=most, max_digits=9, decimal_places=places)


class EditionForm(forms.Form):
    """What an edition says besides its lines."""

    edition = forms.CharField(label="Name of this edition", max_length=80, help_text="For example: workshop 2027-01.")
    valid_from = forms.DateField(label="Holds from", widget=_DAY)
    valid_to = forms.DateField(label="Holds until", widget=_DAY)
    bookings_expected = forms.DecimalField(
        label="Bookings until a test is driven",
        min_value=1,
        max_value=20,
        decimal_places=2,
        help_text="On average, with mornings called off for wind or rain. 1.3 is three in ten called off once.",
    )
    share_low = _number("Insurance, low, % of the market value", most=100, places=3)
    share_likely = _number("Insurance, likely, %", most=100, places=3)
    share_high = _number("Insurance, high, %", most=100, places=3)
    minimum_aud = _number("Insurance, at least (AUD)", most=100_000)
    insurance_again = _number("Insurance paid again when called off, %", most=100, places=1)
    retest_share = _number("Retest, % of a test day", most=100, places=1)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(
            self,
            ("Edition", ["edition", "valid_from", "valid_to", "bookings_expected"]),
            ("Insurance", ["share_low", "share_likely", "share_high", "minimum_aud", "insurance_again"]),
            ("Retest", ["retest_share"]),
        )

    def clean_edition(self):
        name = self.cleaned_data["edition"]
        if PriceBookEdition.objects.filter(edition=name).exists():
            raise forms.ValidationError(f"“{name}” is there already. An edition never changes: give a new name.")
        return name


class LineForm(forms.Form):
    """One line, GST included."""

    label = forms.CharField(label="What", max_length=80)
    needed_for = forms.ChoiceField(label="Charged for", choices=FOR)
    low_aud = _number("Low", most=100_000)
    likely_aud = _number("Likely", most=100_000)
    high_aud = _number("High", most=100_000)
    again = _number("Paid again, %", most=100, places=1)
    note = forms.CharField(label="Note for the owner", max_length=120, required=False)
    key = forms.SlugField(max_length=30, required=False, widget=forms.HiddenInput)

    def clean(self):
        cleaned = super().clean()
        prices = [cleaned.get(name) for name in ("low_aud", "likely_aud", "high_aud")]
        if None not in prices and prices != sorted(prices):
            self.add_error("low_aud", "Low, likely and high must not fall.")
        return cleaned


LineForms = forms.formset_factory(
    LineForm, extra=1, min_num=1, validate_min=True, max_num=40, absolute_max=60, can_delete=True
)


def _percent(share):
    # Without the noughts that multiplying leaves: the field counts them as decimal places.
    return f"{(Decimal(str(share)) * 100).normalize():f}"


def initial_of(data):
    """(head, rows) to start from, out of an edition's data."""
    insurance = data["insurance"]
    head = {
        "bookings_expected": data["bookings_expected"],
        **{name: _percent(insurance[name]) for name in ("share_low", "share_likely", "share_high")},
        "minimum_aud": insurance["minimum_aud"],
        "insurance_again": _percent(insurance["again"]),
        "retest_share": _percent(data["retest"]["share"]),
    }
    rows = [{**row, "needed_for": " ".join(row["for"]), "again": _percent(row["again"])} for row in data["lines"]]
    return head, rows


def data_from(head, rows, *, before, by):
    """The edition as data, in the format of fixtures/price_book.json. Raises CaseError when it cannot be used."""
    insurance = {
        **before["insurance"],
        **{name: _share(head[name]) for name in ("share_low", "share_likely", "share_high")},
        "minimum_aud": str(head["minimum_aud"]),
        "again": _share(head["insurance_again"]),
    }
    data = {
        "edition": head["edition"],
        "valid_from": str(head["valid_from"]),
        "valid_to": str(head["valid_to"]),
        "source": "prices of the workshop",
        "checked_by": by,
        "bookings_expected": float(head["bookings_expected"]),
        "lines": list(_lines(rows, taken={insurance["key"]})),
        "insurance": insurance,
        "retest": {"label": before["retest"]["label"], "share": _share(head["retest_share"])},
    }
    PriceBook.from_data(data)
    return data


def _lines(rows, taken):
    for number, row in enumerate(rows, start=1):
        key = row["key"] if row["key"] and row["key"] not in taken else f"line-{number}"
        while key in taken:
            key += "-b"
        taken = taken | {key}
        yield {
            "key": key,
            "label": row["label"],
            "for": row["needed_for"].split(),
            **{name: str(row[name]) for name in ("low_aud", "likely_aud", "high_aud")},
            "again": _share(row["again"]),
            "note": row["note"],
        }


def _share(percent):
    return str((percent / 100).normalize())


def problems(error: CaseError):
    return [str(problem) for problem in error.problems]
