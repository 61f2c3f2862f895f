"""Drafting the next edition: its entries, what it would change, publishing it."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from jobs import drafts as typed
from jobs.access import allow
from jobs.refused import Refused
from jobs.views.shared import acted, saved, saying_why
from testing.models import DraftEdition, RuleSetEdition
from testing.triage import drafting
from testing.triage.edition_text import differences, numbers, title_of
from testing.triage.editions import in_force
from testing.triage.effect import effects, open_jobs
from testing.triage.rule_forms import BringInForm, HeadForm, NumberForm, PublishForm
from testing.triage.views.rules import as_file
from vehicles.calculations.errors import RuleDataError
from vehicles.calculations.rule_bounds import bounds_of

# So many jobs are decided again in one request; the page then asks for the next ones.
BATCH = 100


def _draft_or_404(pk):
    return get_object_or_404(DraftEdition.objects.select_related("based_on", "by"), pk=pk)


@allow("testing.keep_rules")
def rule_draft(request, pk):
    """The draft: its numbers, what differs from the edition it was copied from, its trail."""
    draft = _draft_or_404(pk)
    context = {
        "draft": draft,
        "numbers": numbers(draft.data),
        "unstated": sorted(_known_names() - draft.data.get("thresholds", {}).keys()),
        "differences": list(differences(draft.based_on.data if draft.based_on else {}, draft.data)),
        "edits": draft.edits.select_related("by"),
    }
    return render(request, "testing/triage/rule_draft.html", context)


def _known_names():
    """The numbers that any edition states: what a draft may state as well."""
    held = RuleSetEdition.objects.values_list("data__thresholds", flat=True)
    return {name for thresholds in held for name in thresholds or ()}


@allow("testing.keep_rules")
def draft_number(request, pk, name):
    """Edit one number, or state one that the national edition states otherwise."""
    draft = _draft_or_404(pk)
    if name != "course.datum" and bounds_of(name) is None:
        raise Http404
    national, _ = in_force(draft.jurisdiction)
    stated = draft.data.get("thresholds", {}).get(name)
    entry = stated or national.data["thresholds"].get(name, {})
    form = typed.fill(NumberForm, request, initial=entry, name=name)

    def state(said):
        return drafting.set_number(draft=draft, by=request.user, name=name, entry=form.entry())

    if acted(request, form, state, at_form=True):
        return saved(request, f"{title_of(name)}: saved in the draft.", "testing:rule_draft", draft.pk)
    context = {"draft": draft, "form": form, "name": name, "stated": stated}
    return render(request, "testing/triage/draft_number.html", context)


@allow("testing.keep_rules")
@require_POST
def remove_draft_number(request, pk, name):
    draft = _draft_or_404(pk)
    with saying_why(request):
        drafting.remove_number(draft=draft, by=request.user, name=name)
        messages.success(request, f"{title_of(name)}: no longer stated by the draft.")
    return redirect("testing:rule_draft", draft.pk)


@allow("testing.keep_rules")
def draft_head(request, pk):
    """Title, source and note of the draft."""
    draft = _draft_or_404(pk)
    form = typed.fill(HeadForm, request, initial={name: draft.data.get(name, "") for name in drafting.HEAD})
    if acted(request, form, lambda said: drafting.set_head(draft=draft, by=request.user, head=said), at_form=True):
        return saved(request, "Title and source saved.", "testing:rule_draft", draft.pk)
    return render(request, "testing/triage/draft_head.html", {"draft": draft, "form": form})


@allow("testing.keep_rules")
def draft_effect(request, pk):
    """Which open jobs the draft would change, and how; a batch at a time, so that it shows how far it is."""
    draft = _draft_or_404(pk)
    try:
        tried = drafting.rule_sets(draft.data)
    except RuleDataError as error:
        return render(request, "testing/triage/draft_effect.html", {"draft": draft, "problems": error.problems})
    jobs, after = open_jobs(tried), _whole(request.GET.get("after"))
    batch = list(jobs.filter(pk__gt=after)[:BATCH])
    context = {
        "draft": draft,
        "total": jobs.count(),
        "looked_at": jobs.filter(pk__lte=batch[-1].pk).count() if batch else jobs.count(),
        "effects": [effect for effect in effects(batch, tried) if effect],
        "next": batch[-1].pk if len(batch) == BATCH else None,
        "first": after == 0,
    }
    page = "testing/triage/_effects.html" if request.htmx else "testing/triage/draft_effect.html"
    return render(request, page, context)


def _whole(text):
    """The number after which the next batch begins; anything else starts at the beginning."""
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 19 else 0


@allow("testing.keep_rules")
def publish_draft(request, pk):
    """Publish from a day, after a last look at what differs."""
    draft = _draft_or_404(pk)
    form = typed.fill(PublishForm, request, initial={"key": draft.data.get("id")})
    if acted(request, form, lambda said: drafting.publish(draft=draft, by=request.user, **said), at_form=True):
        return saved(request, "Published.", "testing:edition", form.cleaned_data["key"])
    changed = list(differences(draft.based_on.data if draft.based_on else {}, draft.data))
    return render(request, "testing/triage/publish_draft.html", {"draft": draft, "form": form, "differences": changed})


@allow("testing.keep_rules")
@require_POST
def discard_draft(request, pk):
    draft = _draft_or_404(pk)
    with saying_why(request):
        drafting.discard(draft=draft, by=request.user)
        messages.success(request, f"Draft {draft.pk} is put aside; its trail stays.")
    return redirect("testing:rules")


@allow("testing.keep_rules")
def export_draft(request, pk):
    draft = _draft_or_404(pk)
    return as_file(draft.data, f"draft-{draft.pk}")


@allow("testing.keep_rules")
def bring_in_draft(request):
    """A draft from an exported file; everything that is wrong with it is named at once."""
    form = typed.fill(BringInForm, request)
    if request.method == "POST" and form.is_valid():
        try:
            draft = drafting.bring_in(by=request.user, content=form.cleaned_data["upload"].read())
        except Refused as refused:
            for reason in refused.reasons:
                form.add_error("upload", reason)
        else:
            return saved(request, f"Draft {draft.pk} opened from the file.", "testing:rule_draft", draft.pk)
    return render(request, "testing/triage/bring_in_draft.html", {"form": form})
