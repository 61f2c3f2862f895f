"""The register: every certificate ever issued, found and checked."""

from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.shortcuts import get_object_or_404, render

from certificates import papers
from certificates.chain import own_faults
from certificates.forms import RegisterSearchForm
from certificates.models import Certificate
from certificates.search import find
from jobs.access import allow

PER_PAGE = 50


@allow("certificates.view_register")
def register(request):
    """Newest first; what is looked for stands in the address."""
    form = RegisterSearchForm(request.GET)
    usable = form.is_valid()
    lines = find(**form.cleaned_data) if usable else Certificate.objects.none()
    page = Paginator(lines, PER_PAGE).get_page(request.GET.get("page"))
    asked = {name: request.GET[name] for name in ("q", "from", "to") if request.GET.get(name)}
    context = {"form": form, "page": page, "usable": usable, "asked": asked, "query": urlencode(asked)}
    return render(request, "certificates/register.html", context)


@allow("certificates.view_register")
def certificate(request, number):
    """One certificate as it was sealed, and whether the seal and both files still hold."""
    found = get_object_or_404(Certificate.objects.select_related("job__vehicle", "job__owner"), number=number)
    file_faults = filter(None, (papers.fault(found, kind) for kind in papers.KINDS))
    context = {
        "certificate": found,
        "job": found.job,
        "record": found.record,
        "faults": [*own_faults(found, found.record), *file_faults],
        "kinds": papers.KINDS,
    }
    return render(request, "certificates/certificate.html", context)
