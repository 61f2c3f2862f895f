"""What may still happen to a certificate after it was issued."""

import uuid

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render

from certificates import after_issue
from certificates.later_forms import CorrectForm, SupersedeForm, TransferForm, WithdrawForm
from certificates.models import Certificate, ImportedCertificate
from jobs import drafts
from jobs.access import allow
from jobs.views.shared import acted, saved


def _certificate(number):
    return get_object_or_404(
        Certificate.objects.select_related("job__vehicle", "job__owner", "line").prefetch_related("events"),
        number=number,
    )


def _page(request, template, subject, form):
    context = {"certificate": subject, "form": form, "back": subject.get_absolute_url()}
    return render(request, f"certificates/{template}.html", context)


@allow("certificates.issue")
def correct(request, number):
    """Issue a correcting certificate in place of this one."""
    old = _certificate(number)
    if why := after_issue.why_not_corrected(old):
        messages.error(request, why)
        return redirect(old)
    form = drafts.fill(CorrectForm, request, by=request.user, certificate=old)

    def put_right(said):
        signed = {"by": request.user, "secret": form.secret}
        return after_issue.correct(certificate=old, changes=form.changes, reason=said["reason"], **signed)

    if new := acted(request, form, put_right):
        text = f"{new.number} is issued in place of {old.number}."
        return saved(request, text, "certificates:certificate", new.number)
    return _page(request, "correct", old, form)


def _supersede(request, old):
    form = drafts.fill(SupersedeForm, request)
    if acted(request, form, lambda said: after_issue.supersede(certificate=old, by=request.user, **said)):
        return saved(request, f"{old.number} is superseded.", old)
    return _page(request, "supersede", old, form)


@allow("certificates.issue")
def supersede(request, number):
    """Name the certificate of a later job that takes this one's place."""
    return _supersede(request, _certificate(number))


@allow("certificates.issue")
def supersede_imported(request, pk):
    """Name the certificate of this register that takes the place of one from before it."""
    return _supersede(request, get_object_or_404(ImportedCertificate.objects.select_related("line"), pk=pk))


def _withdraw(request, subject):
    form = drafts.fill(WithdrawForm, request)

    def act(said):
        return after_issue.withdraw(subject=subject, by=request.user, reason=said["reason"])

    if told := acted(request, form, act):
        return saved(request, f"{subject.number} is withdrawn. The owner is {told}.", subject)
    return _page(request, "withdraw", subject, form)


def _transfer(request, subject):
    form = drafts.fill(TransferForm, request, initial={"sent_as": uuid.uuid4()}, issued_on=subject.issued_on)
    if acted(request, form, lambda said: after_issue.note_transfer(subject=subject, by=request.user, **said)):
        return saved(request, f"The change of ownership is noted beside {subject.number}.", subject)
    return _page(request, "transfer", subject, form)


@allow("certificates.issue")
def withdraw(request, number):
    """The certificate shall no longer stand."""
    return _withdraw(request, _certificate(number))


@allow("certificates.issue")
def withdraw_imported(request, pk):
    """A certificate from before this system shall no longer stand."""
    return _withdraw(request, get_object_or_404(ImportedCertificate, pk=pk))


@allow("certificates.issue")
def transfer(request, number):
    """The vehicle changed hands."""
    return _transfer(request, _certificate(number))


@allow("certificates.issue")
def transfer_imported(request, pk):
    """The vehicle of a certificate from before this system changed hands."""
    return _transfer(request, get_object_or_404(ImportedCertificate, pk=pk))
