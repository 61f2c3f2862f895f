"""Reviewing the report as it will look, writing the words in it, and signing."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from certificates import authority, others, pdf, photos, services, sheets, words
from certificates.assembly import Place, record_of
from certificates.forms import IssueForm, WordsForm
from certificates.gaps import missing
from certificates.signing import keys
from jobs import drafts
from jobs.access import allow
from jobs.views.shared import acted, job_or_404, saved


def _draft_record(request, job):
    today = timezone.localdate()
    number = authority.number_of(request.user, job, on=today)
    return record_of(job, Place(by=request.user, authority_number=number, issued_at=timezone.now(), issued_on=today))


def _drafts(request, job):
    """Both papers as they would look, by their title."""
    record, still = _draft_record(request, job), _open_points(request, job)
    yield "Certificate", pdf.certificate(record, open_points=still)
    yield "Report", pdf.report(record, photos=photos.for_draft(job), open_points=still)


def _open_points(request, job):
    return sum(1 for _ in missing(job, by=request.user))


def _draft(job, kind, content):
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{job.number}-{kind}.pdf"'
    return response


@allow("certificates.issue")
def preview(request, number):
    """What the certificate would rest on, what is missing, and both papers as they will look."""
    job = job_or_404(number)
    context = {
        "job": job,
        "record": _draft_record(request, job),
        "missing": list(missing(job, by=request.user)),
        "others": others.of_same_vehicle(job),
    }
    return render(request, "certificates/preview.html", context)


@allow("certificates.issue")
def pages(request, number):
    """The pages of both drafts as pictures; the review asks for them once it is shown."""
    job = job_or_404(number)
    shown = [(title, sheets.pictures(content)) for title, content in _drafts(request, job)]
    return render(request, "certificates/_pages.html", {"papers": shown})


@allow("certificates.issue")
def draft(request, number):
    """The report as PDF, marked as a draft: no number, no seal."""
    job = job_or_404(number)
    record, still = _draft_record(request, job), _open_points(request, job)
    return _draft(job, "draft", pdf.report(record, photos=photos.for_draft(job), open_points=still))


@allow("certificates.issue")
def draft_certificate(request, number):
    """The certificate itself as PDF, marked as a draft."""
    job = job_or_404(number)
    record, still = _draft_record(request, job), _open_points(request, job)
    return _draft(job, "draft-certificate", pdf.certificate(record, open_points=still))


@allow("certificates.issue")
def edit_words(request, number):
    """The free-text parts; nothing else of the report is typed here."""
    job = job_or_404(number)
    form = drafts.fill(WordsForm, request, initial=words.of(job))
    if request.method == "POST" and form.is_valid():
        words.write(job=job, by=request.user, texts=form.cleaned_data)
        return saved(request, "Words of the report saved.", "certificates:preview", job.number)
    context = {"job": job, "form": form, "back": reverse("certificates:preview", args=[job.number])}
    return render(request, "certificates/words.html", context)


@allow("certificates.issue")
def issue(request, number):
    """The last look and the signature. Pressing twice issues one certificate."""
    job = job_or_404(number)
    if certificate := services.standing(job):
        messages.info(request, f"{certificate.number} is issued already.")
        return redirect(certificate)
    form = drafts.fill(IssueForm, request, by=request.user)
    if certificate := acted(request, form, lambda said: services.issue(job=job, by=request.user, secret=form.secret)):
        text = f"{certificate.number} is issued and sealed."
        return saved(request, text, "certificates:certificate", certificate.number)
    context = {
        "job": job,
        "form": form,
        "record": _draft_record(request, job),
        "missing": list(missing(job, by=request.user)),
        "others": others.of_same_vehicle(job),
        "has_key": keys.has_key(request.user),
    }
    return render(request, "certificates/issue.html", context)
