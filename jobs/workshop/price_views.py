"""Writing a new edition of the price book, from the one that holds now."""

from django.contrib import messages
from django.shortcuts import redirect, render

from jobs.access import allow
from jobs.workshop import prices
from jobs.workshop.price_forms import EditionForm, LineForms, data_from, initial_of, problems
from vehicles.calculations.errors import CaseError


@allow("jobs.keep_workshop")
def new_price_book(request):
    before = prices.in_force()
    if before is None:
        prices.load_first()
        before = prices.in_force()
    head, rows = initial_of(before.data)
    typed = request.POST if request.method == "POST" else None
    form = EditionForm(typed, initial=head)
    lines = LineForms(typed, initial=rows, prefix="lines")
    found = []
    if request.method == "POST" and all([form.is_valid(), lines.is_valid()]):
        try:
            edition = prices.add(data=_data(form, lines, before, request.user), by=request.user)
        except CaseError as error:
            found = problems(error)
        else:
            messages.success(request, f"“{edition}” is kept; estimates use it from {edition.valid_from:%d %b %Y}.")
            return redirect("jobs:price_books")
    context = {"form": form, "lines": lines, "problems": found, "before": before}
    return render(request, "jobs/workshop/new_price_book.html", context)


def _data(form, lines, before, user):
    rows = [row for row in (one.cleaned_data for one in lines) if row and not row.get("DELETE")]
    return data_from(form.cleaned_data, rows, before=before.data, by=user.full_name)
