"""Handing out what was issued: the PDFs of a certificate, and the pack with everything about it."""

from django.http import FileResponse, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from certificates import pack, papers
from certificates.models import Certificate, ImportedCertificate
from certificates.moments import when
from jobs.access import allow


@allow("certificates.view_register")
def paper(request, number, key):
    """The file that was issued, byte for byte; never one that was changed since."""
    certificate = get_object_or_404(Certificate.objects.select_related("job"), number=number)
    kind = next(kind for kind in papers.KINDS if kind.key == key)
    try:
        content = papers.read(certificate, kind, by=request.user)
    except papers.PaperChanged as changed:
        return _held_back(request, certificate, changed)
    return _pdf(content, papers.filename(certificate, kind))


@allow("certificates.view_register")
def imported_paper(request, pk):
    """The PDF that came with an imported certificate."""
    imported = get_object_or_404(ImportedCertificate.objects.exclude(pdf=""), pk=pk)
    try:
        content = papers.read_imported(imported)
    except papers.PaperChanged as changed:
        return _held_back(request, imported, changed)
    return _pdf(content, f"imported-{imported.pk}.pdf")


def _held_back(request, certificate, changed):
    context = {"certificate": certificate, "what": str(changed)}
    return render(request, "certificates/paper_changed.html", context, status=409)


def _pdf(content, name):
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


@allow("certificates.audit")
def evidence_pack(request, number):
    """Everything on file about one certificate, as a ZIP that checks itself."""
    certificate = get_object_or_404(Certificate.objects.select_related("job__vehicle"), number=number)
    file = pack.written([certificate], made_for=certificate.number, made_at=when(timezone.now()))
    pack.note_taken([certificate], by=request.user, made_for=certificate.number)
    return FileResponse(file, as_attachment=True, filename=f"{certificate.number}-evidence.zip")
