"""Audits of the register: drawing a sample, looking at it, findings and their follow-up."""

import uuid
from urllib.parse import urlencode

from django.contrib import messages
from django.http import FileResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from certificates import audits, pack
from certificates.audit_forms import DrawForm, FindingForm, FollowUpForm
from certificates.models import Audit, Certificate, Event, ImportedCertificate
from certificates.models.event import FINDING, SAMPLED
from certificates.moments import when
from certificates.register_forms import RegisterSearchForm
from jobs import drafts
from jobs.access import allow
from jobs.retention import rule
from jobs.views.shared import acted, saved


@allow("certificates.audit")
def overview(request):
    """Audits so far, findings that are open, and how long what is kept."""
    context = {
        "audits": Audit.objects.select_related("by"),
        "findings": audits.open_findings(),
        "terms": rule.terms(),
    }
    return render(request, "certificates/audits.html", context)


@allow("certificates.audit")
def draw(request):
    """Draw a sample from what is searched for in the address."""
    search = RegisterSearchForm(request.GET)
    form = drafts.fill(DrawForm, request)
    if not search.is_valid():
        messages.error(request, "The search is not usable; mend it in the register first.")
        return redirect("certificates:register")
    if audit := acted(request, form, lambda said: audits.draw(by=request.user, criteria=search.cleaned_data, **said)):
        return saved(request, f"{audit.number}: {audit.size} drawn.", "certificates:audit", audit.number)
    context = {"form": form, "asked": search.asked, "query": urlencode(search.asked)}
    return render(request, "certificates/draw.html", context)


def _sampled(audit):
    return (
        Event.objects.filter(audit=audit, kind=SAMPLED)
        .select_related("certificate__line", "certificate__job__vehicle", "imported__line")
        .order_by("position")
    )


@allow("certificates.audit")
def audit(request, number):
    """One audit: its sample, how it was drawn, what was found."""
    found = get_object_or_404(Audit.objects.select_related("by"), number=number)
    findings = Event.objects.filter(audit=found, kind=FINDING).select_related("certificate", "imported", "by")
    context = {
        "audit": found,
        "sampled": _sampled(found),
        "findings": findings.prefetch_related("answered_by__by").order_by("position"),
    }
    return render(request, "certificates/audit.html", context)


@allow("certificates.audit")
def audit_pack(request, number):
    """Everything on file about the certificates of a sample, as a ZIP that checks itself."""
    found = get_object_or_404(Audit, number=number)
    subjects = [event.subject for event in _sampled(found)]
    file = pack.written(subjects, made_for=found.number, made_at=when(timezone.now()), audit=found)
    pack.note_taken(subjects, by=request.user, made_for=found.number)
    return FileResponse(file, as_attachment=True, filename=f"{found.number}-evidence.zip")


def _finding(request, subject):
    named = request.GET.get("audit")
    audit = get_object_or_404(Audit, number=named) if named else None
    form = drafts.fill(FindingForm, request, initial={"sent_as": uuid.uuid4()})
    if request.method == "POST" and form.is_valid():
        audits.find_fault(subject=subject, by=request.user, audit=audit, **form.cleaned_data)
        to = ("certificates:audit", audit.number) if audit else (subject,)
        return saved(request, f"The finding about {subject.number} is recorded.", *to)
    context = {"certificate": subject, "audit": audit, "form": form, "back": subject.get_absolute_url()}
    return render(request, "certificates/finding.html", context)


@allow("certificates.audit")
def finding(request, number):
    """Record a finding about a certificate."""
    return _finding(request, get_object_or_404(Certificate, number=number))


@allow("certificates.audit")
def finding_imported(request, pk):
    """Record a finding about a certificate from before this system."""
    return _finding(request, get_object_or_404(ImportedCertificate, pk=pk))


@allow("certificates.audit", "certificates.issue")
def follow_up(request, position):
    """Say what became of a finding. Engineers answer; whoever audits and did not sign settles."""
    found = get_object_or_404(
        Event.objects.select_related("certificate", "imported", "audit", "by").prefetch_related("answered_by__by"),
        position=position,
        kind=FINDING,
    )
    may_settle = audits.may_settle(found, request.user)
    form = drafts.fill(FollowUpForm, request, initial={"sent_as": uuid.uuid4()}, may_settle=may_settle)
    if answer := acted(request, form, lambda said: audits.follow_up(finding=found, by=request.user, **said)):
        to = found.subject if answer.record["closes"] else request.path
        return saved(request, "The follow-up is recorded.", to)
    context = {
        "finding": found,
        "certificate": found.subject,
        "form": form,
        "may_settle": may_settle,
        "back": found.subject.get_absolute_url(),
    }
    return render(request, "certificates/follow_up.html", context)
