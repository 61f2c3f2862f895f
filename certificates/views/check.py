"""Does a certificate still stand? For anybody who holds it; tells nothing personal."""

import hashlib

from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache

from certificates import checking, lines
from certificates.check_forms import CodeForm, CompareForm
from certificates.faults import own_faults
from certificates.models import Certificate
from certificates.visits import throttled
from jobs.access import public


@public
@never_cache
@throttled
def enter_code(request):
    """For those who read the code from paper."""
    form = CodeForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        return redirect("certificates:check", checking.spelled(form.cleaned_data["code"]))
    return _private(render(request, "certificates/enter_code.html", {"form": form}))


@public
@never_cache
@throttled
def check(request, code):
    """How the certificate stands; a file sent here is compared with the ones that were issued."""
    found = Certificate.objects.select_related("job", "replaces").prefetch_related("events")
    certificate = found.filter(check_code=checking.read(code)).first()
    if certificate is None:
        # Whoever holds a paper has to learn that nothing stands behind it, not that a page is missing.
        return _private(render(request, "certificates/check_unknown.html", status=404))
    form = CompareForm(request.POST, request.FILES) if request.method == "POST" else CompareForm()
    compared = _compare(certificate, form.cleaned_data["file"]) if form.is_valid() else None
    context = {
        "certificate": certificate,
        "record": certificate.record,
        "forged": bool(own_faults(certificate, certificate.record)),
        "state": lines.state_of(certificate),
        "event": certificate.events.filter(kind__in=("superseded", "withdrawn")).last(),
        "form": form,
        "compared": compared,
        "code": checking.spelled(certificate.check_code),
    }
    return _private(render(request, "certificates/check.html", context))


def _compare(certificate, upload):
    digest = hashlib.sha256()
    for chunk in upload.chunks():
        digest.update(chunk)
    found = {certificate.certificate_sha256: "certificate", certificate.report_sha256: "report"}
    return {"kind": found.get(digest.hexdigest()), "name": upload.name}


def _private(response):
    # The address is the key and must not leak. Sent to nobody at all, a browser would post its own form as a stranger.
    response["Referrer-Policy"] = "same-origin"
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response
