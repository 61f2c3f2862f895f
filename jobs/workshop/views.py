"""The workshop's settings. One page of each kind; what was sent before keeps what it said."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.formats import date_format
from django.views.decorators.http import require_POST

from jobs import drafts, loaded
from jobs.access import allow
from jobs.models import Authority, PriceBookEdition, Workshop
from jobs.retention import rule
from jobs.views.shared import acted, come_again, saved
from jobs.workshop import addresses, prices, settings, signatories
from jobs.workshop.forms import AuthorityForm, WorkshopForm

KEEP = "jobs.keep_workshop"


@allow(KEEP)
def workshop(request):
    """Name, address, ABN, logo, terms, and how long things hold."""
    now = Workshop.current()
    form = drafts.fill(WorkshopForm, request, initial=settings.initial(now), of_stored=True)
    if request.method == "POST":
        form.refuse_logo_of_another(request.POST.get("logo_seen"), now.logo.name)
    if request.method == "POST" and form.is_valid():
        try:
            settings.save(
                by=request.user,
                seen=now.pk,
                logo=form.cleaned_data["new_logo"],
                logo_type=getattr(form, "logo_type", ""),
                no_logo=form.cleaned_data["no_logo"],
                **{name: form.cleaned_data[name] for name in settings.FIELDS},
            )
        except loaded.Meanwhile as meanwhile:
            return come_again(request, form, meanwhile)
        return saved(request, "Saved. Papers from now on carry it.", "jobs:workshop")
    context = {
        "form": form,
        "now": now,
        "past_their_years": rule.count(),
        "guessed": "" if addresses.entered() else addresses.guessed(),
    }
    return render(request, "jobs/workshop/workshop.html", context)


@allow(KEEP)
def signatories_page(request):
    """Who signs for which jurisdiction, and until when."""
    form = drafts.fill(AuthorityForm, request)
    if acted(request, form, lambda said: signatories.add(by=request.user, **said), at_form=True):
        return saved(request, "Authority kept.", "jobs:signatories")
    context = {"form": form, "authorities": Authority.objects.select_related("user")}
    return render(request, "jobs/workshop/signatories.html", context)


@allow(KEEP)
@require_POST
def end_authority(request, pk):
    authority = signatories.end(get_object_or_404(Authority, pk=pk))
    messages.success(request, f"{authority.number} holds until {date_format(authority.valid_to)} and no longer.")
    return redirect("jobs:signatories")


@allow(KEEP)
def price_books(request):
    """Every edition of the price book, the one that holds today marked."""
    now = prices.in_force()
    context = {"editions": PriceBookEdition.objects.select_related("added_by"), "now": now}
    return render(
        request, "jobs/workshop/price_books.html", {**context, "warning": prices.out_of_date(now) if now else ""}
    )


@allow(KEEP)
def price_book(request, pk):
    """One edition, as it is kept."""
    return render(request, "jobs/workshop/price_book.html", {"edition": get_object_or_404(PriceBookEdition, pk=pk)})
