"""Writing a new edition of the price book, from the one that holds now."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils.formats import date_format

from jobs import loaded
from jobs.access import allow
from jobs.models import PriceBookEdition
from jobs.workshop import price_changes, prices
from jobs.workshop.price_forms import EditionForm, LineForms, data_from, initial_of, problems
from vehicles.calculations.errors import CaseError


@allow("jobs.keep_workshop")
def new_price_book(request):
    """The page names the edition that it starts from and the newest there is: one kept meanwhile is shown first."""
    if prices.in_force() is None:
        prices.load_first()
    newest, typed = PriceBookEdition.objects.first(), request.POST if request.method == "POST" else None
    before = _named(typed, "begun_from") or prices.in_force()
    seen = _named(typed, "newest") or newest
    head, rows = initial_of(before.data)
    form = EditionForm(typed, initial=head)
    lines = LineForms(typed, initial=rows, prefix="lines")
    found = []
    if typed is not None and all([form.is_valid(), lines.is_valid()]):
        try:
            edition = prices.add(data=_data(form, lines, before, request.user), by=request.user, seen=seen)
        except CaseError as error:
            found = problems(error)
        except loaded.Meanwhile:
            newest = PriceBookEdition.objects.first()
        else:
            messages.success(request, f"“{edition}” is kept; estimates use it from {date_format(edition.valid_from)}.")
            return redirect("jobs:price_books")
    context = {"form": form, "lines": lines, "problems": found, "before": before, "newest": newest}
    if seen != newest:
        context["meanwhile"] = list(price_changes.between(before.data, newest.data))
    return render(request, "jobs/workshop/new_price_book.html", context)


def _named(typed, name):
    """The edition that the page carried, or None."""
    pk = (typed or {}).get(name, "")
    return PriceBookEdition.objects.filter(pk=pk).first() if pk.isascii() and pk.isdigit() and len(pk) < 10 else None


def _data(form, lines, before, user):
    rows = [row for row in (one.cleaned_data for one in lines) if row and not row.get("DELETE")]
    return data_from(form.cleaned_data, rows, before=before.data, by=user.full_name)
