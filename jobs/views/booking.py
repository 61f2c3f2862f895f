"""Booking in: owner, vehicle, modifications, photos. Each page saves by itself."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from jobs import coming_in, drafts, loaded, returning, services
from jobs.access import allow
from jobs.forms import ComingInForm, OpenJobForm, OwnerForm, SetAsideForm
from jobs.views.shared import come_again, job_or_404, saved
from vehicles.calculations.identity import check_vin
from vehicles.calculations.modifications import KINDS
from vehicles.forms import DocumentForm, ModificationForm, VehicleForm


@allow("jobs.book_in")
def book_in(request):
    """Open a file for the vehicle at the counter, or for one that is announced by telephone."""
    form = drafts.fill(OpenJobForm, request)
    if request.method == "POST" and form.is_valid():
        job = services.open_job(
            by=request.user,
            jurisdiction=form.cleaned_data["jurisdiction"],
            owner={name: form.cleaned_data[name] for name in ("name", "phone", "email")},
            vehicle={
                **{name: form.cleaned_data[name] for name in ("make", "model", "plate", "vin")},
                "plate_state": form.cleaned_data["jurisdiction"],
            },
            known_owner=form.known_owner,
            copied_from=form.copied_from,
            expected_at=form.cleaned_data["expected_at"],
        )
        _warn_of_vin(request, job.vehicle)
        return saved(request, f"{job.number} opened.", "jobs:modifications", job.number)
    chosen = returning.chosen(request.GET) if request.method == "GET" else {}
    form.initial |= chosen
    return render(request, "jobs/book_in.html", {"form": form, "chosen": chosen})


@allow("jobs.book_in")
def find_returning(request):
    """Asked for while typing: who and what was here before, what is open already, is the VIN one."""
    return render(request, "jobs/_returning.html", returning.found(request.GET))


def _as_stored(job):
    """A form that is refused has written into what it was about; the heading shows what is stored."""
    return job_or_404(job.number)


def _warn_of_vin(request, vehicle):
    for warning in check_vin(vehicle.vin).warnings if vehicle.vin else ():
        messages.warning(request, f"VIN: {warning}.")


@allow("jobs.book_in")
def edit_owner(request, number):
    job = job_or_404(number)
    form = drafts.fill(OwnerForm, request, instance=job.owner)
    if request.method == "POST" and form.is_valid():
        try:
            services.save_owner(by=request.user, job=job, form=form)
        except loaded.Meanwhile as meanwhile:
            return come_again(request, form, meanwhile)
        return saved(request, "Owner's details saved.", "jobs:job", job.number)
    return render(request, "jobs/edit_owner.html", {"job": _as_stored(job), "form": form})


@allow("jobs.book_in")
def edit_coming_in(request, number):
    """When the vehicle comes in, and whose rules apply to it."""
    job = job_or_404(number)
    fixed = coming_in.why_fixed(job)
    form = drafts.fill(ComingInForm, request, instance=job, fixed=fixed)
    if request.method == "POST" and form.is_valid():
        try:
            coming_in.save(by=request.user, job=job, form=form)
        except loaded.Meanwhile as meanwhile:
            return come_again(request, form, meanwhile)
        return saved(request, "Saved.", "jobs:job", job.number)
    return render(request, "jobs/coming_in.html", {"job": _as_stored(job), "form": form, "fixed": fixed})


@allow("jobs.book_in")
def edit_vehicle(request, number):
    """Everything measured. What is not known yet may stay empty."""
    job = job_or_404(number)
    form = drafts.fill(VehicleForm, request, instance=job.vehicle, jurisdiction=job.jurisdiction)
    if request.method == "POST" and form.is_valid():
        try:
            vehicle = services.save_vehicle(by=request.user, job=job, form=form)
        except loaded.Meanwhile as meanwhile:
            return come_again(request, form, meanwhile)
        _warn_of_vin(request, vehicle)
        return saved(request, "Vehicle saved.", "jobs:modifications", job.number)
    return render(request, "jobs/edit_vehicle.html", {"job": _as_stored(job), "form": form})


@allow("jobs.book_in")
def modifications(request, number):
    """What was changed on the vehicle, and the kinds that can be added."""
    job = job_or_404(number)
    return render(request, "jobs/modifications.html", {"job": job, "kinds": KINDS.values()})


@allow("jobs.book_in")
def add_modification(request, number, kind):
    """The measurements that this kind asks for; in the page of the list where the browser can, else by itself."""
    job = job_or_404(number)
    if kind not in KINDS:
        messages.error(request, f"“{kind}” is not a kind of modification; choose one from the list.")
        return redirect("jobs:modifications", job.number)
    form = drafts.fill(ModificationForm, request, kind=kind, original_tyre=job.vehicle.tyre)
    if request.method == "POST" and form.is_valid():
        modification = services.add_modification(by=request.user, job=job, modification=form.instance)
        if request.htmx:
            drafts.forget(request.user, request.path)
            return _list_of(request, job, f"{modification} added.")
        return saved(request, f"{modification} added.", "jobs:modifications", job.number)
    template = "jobs/_add_modification.html" if request.htmx else "jobs/add_modification.html"
    return render(request, template, {"job": job, "form": form, "kind": KINDS[kind], "button": "Add this modification"})


def _list_of(request, job, done=""):
    response = render(request, "jobs/_modifications.html", {"job": job, "kinds": KINDS.values(), "just_done": done})
    response["HX-Retarget"], response["HX-Reswap"] = "#modifications", "outerHTML"
    return response


@allow("jobs.book_in")
def edit_modification(request, number, pk):
    """A measurement that was taken later, or was wrong."""
    job = job_or_404(number)
    modification = get_object_or_404(job.vehicle.modifications, pk=pk)
    before = {"values": modification.in_order(), "note": modification.note}
    form = drafts.fill(
        ModificationForm,
        request,
        initial=modification.values,
        instance=modification,
        kind=modification.kind,
        original_tyre=job.vehicle.tyre,
    )
    if request.method == "POST" and form.is_valid():
        services.change_modification(by=request.user, job=job, modification=form.instance, before=before)
        return saved(request, f"{modification} saved.", "jobs:modifications", job.number)
    context = {"job": job, "form": form, "kind": KINDS[modification.kind], "button": "Save this modification"}
    return render(request, "jobs/add_modification.html", context)


@allow("jobs.book_in")
@require_POST
def remove_modification(request, number, pk):
    job = job_or_404(number)
    modification = get_object_or_404(job.vehicle.modifications, pk=pk)
    services.remove_modification(by=request.user, job=job, modification=modification)
    messages.success(request, "Modification removed; the audit trail keeps what it was.")
    return redirect("jobs:modifications", job.number)


@allow("jobs.book_in")
def photos(request, number):
    """Photos and papers that came with the vehicle, several at once."""
    job = job_or_404(number)
    form = drafts.fill(DocumentForm, request, initial={"kind": "photo"})
    if request.method == "POST" and form.is_valid():
        services.add_documents(
            by=request.user,
            job=job,
            kind=form.cleaned_data["kind"],
            caption=form.cleaned_data["caption"],
            uploads=form.recognised,
        )
        count = len(form.recognised)
        done = "File added." if count == 1 else f"{count} files added."
        return saved(request, done, "jobs:photos", job.number)
    return render(request, "jobs/photos.html", {"job": job, "form": form})


@allow("jobs.book_in")
def set_aside(request, number, pk):
    """A wrong photo or paper: out of the report and off the owner's page, and still on the file."""
    job = job_or_404(number)
    paper = get_object_or_404(job.vehicle.documents.standing(), pk=pk)
    form = drafts.fill(SetAsideForm, request)
    if request.method == "POST" and form.is_valid():
        services.set_aside(by=request.user, job=job, document=paper, reason=form.cleaned_data["reason"])
        return saved(request, f"“{paper.caption}” is set aside; the file keeps it.", "jobs:photos", job.number)
    return render(request, "jobs/set_aside.html", {"job": job, "paper": paper, "form": form})


@allow("jobs.book_in")
@require_POST
def bring_back(request, number, pk):
    """It was set aside by mistake: it stands in the report and on the owner's page again."""
    job = job_or_404(number)
    paper = get_object_or_404(job.vehicle.documents, pk=pk)
    if services.bring_back(by=request.user, job=job, document=paper):
        messages.success(request, f"“{paper.caption}” is back; the audit trail keeps that it was set aside, and why.")
    else:
        messages.info(request, f"“{paper.caption}” was not set aside, or is back already.")
    return redirect("jobs:photos", job.number)
