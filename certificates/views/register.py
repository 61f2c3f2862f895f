"""The register: every certificate ever issued, found and checked."""

from urllib.parse import urlencode

from django.http import StreamingHttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from certificates import evidence, export, head, laid_open, lines, old_files, papers, photos, plot_pictures, search
from certificates.faults import own_faults
from certificates.models import Certificate, ImportedCertificate
from certificates.register_forms import RegisterSearchForm
from certificates.timeline import timeline
from jobs.access import allow


@allow("certificates.view_register")
def register(request):
    """Newest first; what is looked for stands in the address."""
    form = RegisterSearchForm(request.GET)
    usable = form.is_valid()
    where = {name: _place(request.GET.get(name)) for name in ("older_than", "newer_than")}
    page = search.page(form.cleaned_data, **where, oldest="oldest" in request.GET) if usable else None
    context = {"form": form, "page": page, "usable": usable, "asked": form.asked, "query": urlencode(form.asked)}
    if page and not page.lines and any(place is not None for place in where.values()):
        # An address of ours from earlier, or one typed by hand: lines there are, elsewhere.
        context["beyond"] = True
    return render(request, "certificates/register.html", context)


def _place(text):
    """A place in the register, as an address of ours names it; anything else is no place."""
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 19 else None


@allow("certificates.view_register")
def export_csv(request):
    """What was searched for as CSV, sent while it is read."""
    form = RegisterSearchForm(request.GET)
    if not form.is_valid():
        context = {"form": form, "page": None, "usable": False, "asked": form.asked}
        return render(request, "certificates/register.html", context, status=400)
    response = StreamingHttpResponse(export.rows(form.cleaned_data), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="register-{timezone.localdate()}.csv"'
    return response


@allow("certificates.view_register")
def register_head(request):
    """The two seals that stand for everything so far, to be printed or sent outside."""
    return render(request, "certificates/head.html", {"text": head.as_text()})


@allow("certificates.view_register")
def certificate(request, number):
    """One certificate as it was sealed, whether seal and files still hold, and what happened since."""
    found = get_object_or_404(
        Certificate.objects.select_related("job__vehicle", "job__owner", "replaces").prefetch_related("events__by"),
        number=number,
    )
    file_faults = filter(None, (papers.fault(found, kind) for kind in papers.KINDS))
    context = {
        "certificate": found,
        "job": found.job,
        "record": found.record,
        "state": lines.state_of(found),
        "successor": Certificate.objects.filter(replaces=found).first(),
        "faults": [*own_faults(found, found.record), *file_faults],
        "kinds": papers.KINDS,
        "kept": old_files.kept(found),
    }
    return render(request, "certificates/certificate.html", context)


@allow("jobs.view_audit")
def whole_file(request, number):
    """Everything about one certificate on one page, with its time line of who did what."""
    found = get_object_or_404(
        Certificate.objects.select_related("job__vehicle", "job__owner", "replaces").prefetch_related("events__by"),
        number=number,
    )
    # What is not the sealed record may not even have the shape of one: then it is laid open and not read.
    forged = own_faults(found, found.record)
    kept = filter(None, (papers.fault(found, kind) for kind in papers.KINDS))
    faults = forged or [*kept, *evidence.faults(found.record, found.job)]
    context = {
        "certificate": found,
        "job": found.job,
        "record": found.record,
        "faults": faults,
        "forged": bool(forged),
        "kinds": papers.KINDS,
        "state": lines.state_of(found),
        "days": [] if forged else [{**day, "drawn": plot_pictures.of(day)} for day in found.record["test_days"]],
        "parts": laid_open.parts_of(found.record),
        "documents": found.job.vehicle.documents.standing(),
        "set_aside": found.job.vehicle.documents.set_aside(),
        "kept": old_files.kept(found),
        "run_photos": photos.run_photos(found.job),
        "others": found.job.certificates.exclude(pk=found.pk).order_by("position"),
        "timeline": timeline(found),
    }
    return render(request, "certificates/whole_file.html", context)


@allow("certificates.view_register")
def imported(request, pk):
    """One certificate from before this system."""
    found = get_object_or_404(ImportedCertificate.objects.select_related("line"), pk=pk)
    context = {
        "certificate": found,
        "record": found.record,
        "state": lines.state_of(found),
        "fault": papers.imported_fault(found),
        "kept": old_files.kept(found),
        "timeline": timeline(found),
    }
    return render(request, "certificates/imported.html", context)
