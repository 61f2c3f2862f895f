"""The editions of the rules: which hold, what they state, who checked them."""

import json

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_POST

from jobs import drafts as typed
from jobs.access import allow
from jobs.views.shared import acted, saved
from testing.models import DraftEdition, RuleSetEdition
from testing.triage import checking, drafting
from testing.triage.edition_text import numbers
from testing.triage.editions import NATIONAL, ZONES, in_force, order, today_in
from testing.triage.rule_forms import CheckForm


def _edition_or_404(key):
    return get_object_or_404(RuleSetEdition.objects.prefetch_related("checks"), key=key)


def _state(edition, standing):
    if standing and edition.pk == standing.pk:
        return "in force"
    return "to come" if standing is None or order(edition) > order(standing) else "superseded"


@allow("testing.view_triage")
def rules(request):
    """Every jurisdiction with its editions: in force, to come, and past."""
    held = RuleSetEdition.objects.prefetch_related("checks")
    rows = []
    for name in (NATIONAL, *ZONES):
        national, own = in_force(name)
        standing = national if name == NATIONAL else own
        editions = sorted((each for each in held if each.jurisdiction == name), key=order, reverse=True)
        rows += [{"place": name, "edition": each, "state": _state(each, standing)} for each in editions]
    drafts = DraftEdition.objects.filter(state=DraftEdition.State.OPEN).select_related("by")
    return render(request, "testing/triage/rules.html", {"rows": rows, "drafts": drafts})


@allow("testing.view_triage")
def edition(request, key):
    """What one edition states, each number with source and tag."""
    held = _edition_or_404(key)
    return render(
        request,
        "testing/triage/edition.html",
        {"edition": held, "data": held.data, "numbers": numbers(held.data), "ends_on": drafting.ends_on(held)},
    )


@allow("testing.view_triage")
def export_edition(request, key):
    """The edition as a file, with the mark of whoever checked it."""
    held = _edition_or_404(key)
    return as_file(held.marked_data(), held.key)


def as_file(data, name):
    text = json.dumps(data, indent=2, ensure_ascii=False) + "\n"
    filename = f"{slugify(name) or 'edition'}.json"
    return HttpResponse(
        text,
        content_type="application/json; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{filename}"'},
    )


@allow("testing.sign_triage")
def check_edition(request, key):
    """A signatory marks an edition as checked against the current text."""
    held = _edition_or_404(key)
    form = typed.fill(CheckForm, request, initial={"on": today_in(held.jurisdiction)})
    if acted(request, form, lambda said: checking.mark_checked(edition=held, by=request.user, **said), at_form=True):
        return saved(request, f"{held.key} is marked as checked.", "testing:edition", held.key)
    return render(request, "testing/triage/check_edition.html", {"edition": held, "form": form})


@allow("testing.keep_rules")
@require_POST
def start_draft(request, key):
    """Copy an edition as a draft of the next one."""
    draft = drafting.start(by=request.user, edition=_edition_or_404(key))
    messages.success(request, f"Draft {draft.pk} opened as a copy of {key}.")
    return redirect("testing:rule_draft", draft.pk)
