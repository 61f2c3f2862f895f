"""Bringing in certificates from before this system: send, look at every line, import, go on where it stopped."""

from collections import Counter

from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect, render

from certificates import import_batches, importing
from certificates.import_forms import ImportForm
from jobs.access import allow

_SHOWN = 300


@allow("certificates.bring_in")
def send(request):
    """The table and its PDFs. Nothing is imported yet."""
    form = ImportForm(request.POST, request.FILES) if request.method == "POST" else ImportForm()
    if form.is_valid():
        return redirect("certificates:import_batch", import_batches.keep(**form.cleaned_data))
    return render(request, "certificates/import.html", {"form": form, "waiting": import_batches.waiting()})


@allow("certificates.bring_in")
def batch(request, token):
    """What would become of every line; from here the lines that hold are imported."""
    if not import_batches.exists(token):
        raise Http404("No such table is waiting.")
    if request.method == "POST":
        return _act(request, token)
    outcomes, unread = import_batches.look(token)
    counts = Counter(outcome.result for outcome in outcomes)
    refused = [outcome for outcome in outcomes if outcome.result == importing.REFUSED]
    context = {
        "token": token,
        "lines": len(outcomes),
        "ready": counts[importing.READY],
        "already": counts[importing.ALREADY],
        "refused": refused[:_SHOWN],
        "refused_count": len(refused),
        "unread": unread[:_SHOWN],
        "unread_count": len(unread),
    }
    return render(request, "certificates/import_batch.html", context)


def _act(request, token):
    act = request.POST.get("act")
    if act == "import":
        count = import_batches.bring_in(token, by=request.user)
        messages.success(request, f"{count} certificate{'' if count == 1 else 's'} imported.")
    elif act == "drop":
        import_batches.drop(token)
        messages.success(request, "Table and PDFs are thrown away. What was imported stays.")
        return redirect("certificates:import")
    return redirect("certificates:import_batch", token)
