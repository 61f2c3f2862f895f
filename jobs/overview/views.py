"""The figures of the business, and each of them as a file for a spreadsheet."""

import csv
from datetime import timedelta

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.formats import date_format

from jobs.access import allow
from jobs.overview import figures
from jobs.overview.plot import plot

_DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
MOST_DAYS = 3660


class PeriodForm(forms.Form):
    first = forms.DateField(label="From", widget=_DAY)
    last = forms.DateField(label="Until", widget=_DAY)

    def clean(self):
        cleaned = super().clean()
        first, last = cleaned.get("first"), cleaned.get("last")
        if first and last and not 0 <= (last - first).days <= MOST_DAYS:
            self.add_error("last", f"{date_format(last)} is not within ten years from {date_format(first)}.")
        for name in ("first", "last"):
            if (day := cleaned.get(name)) and not 1990 <= day.year <= 2200:
                self.add_error(name, f"{day} is not usable. Allowed: 1990 to 2200.")
        return cleaned


def _asked(request):
    """(form, period): the period in the address, else the last twelve months."""
    today = timezone.localdate()
    usual = {"first": today - timedelta(days=365), "last": today}
    form = PeriodForm({name: request.GET.get(name) or day for name, day in usual.items()})
    chosen = form.cleaned_data if form.is_valid() else usual
    return form, figures.Period(first=chosen["first"], last=chosen["last"])


@allow("jobs.view_overview")
def overview(request):
    form, period = _asked(request)
    shown = [(key, figure, plot(figure)) for key, figure in figures.all_figures(period)]
    return render(request, "jobs/overview/overview.html", {"form": form, "period": period, "shown": shown})


@allow("jobs.view_overview")
def overview_csv(request, key):
    _, period = _asked(request)
    figure = figures.figure(key, period)
    if figure is None:
        raise Http404
    response = HttpResponse(content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{key}-{period.first}-{period.last}.csv"'
    rows = csv.writer(response)
    rows.writerow(["figure", "from", "until", "line", f"value ({figure.unit})", "count", "remark"])
    for bar in figure.bars:
        value = "" if bar.value is None else bar.value
        cells = [figure.title, period.first, period.last, bar.label, value, bar.count, bar.remark]
        rows.writerow([_harmless(cell) for cell in cells])
    return response


def _harmless(cell):
    # A spreadsheet would run a text that begins like a formula.
    return f"'{cell}" if isinstance(cell, str) and cell[:1] in "=+-@\t\r" and cell else cell
