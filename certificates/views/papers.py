"""Handing out the PDFs of a certificate."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render

from certificates import papers
from certificates.models import Certificate
from jobs.access import allow


@allow("certificates.view_register")
def paper(request, number, key):
    """The file that was issued, byte for byte; never one that was changed since."""
    certificate = get_object_or_404(Certificate.objects.select_related("job"), number=number)
    kind = next(kind for kind in papers.KINDS if kind.key == key)
    try:
        content = papers.read(certificate, kind, by=request.user)
    except papers.PaperChanged as changed:
        context = {"certificate": certificate, "what": str(changed)}
        return render(request, "certificates/paper_changed.html", context, status=409)
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{papers.filename(certificate, kind)}"'
    response["Cache-Control"] = "private, no-store"
    return response
