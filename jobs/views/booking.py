"""Booking in: owner, vehicle, modifications, photos. Each page saves by itself."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST
from vehicles.calculations.identity import check_vin

from jobs import drafts, services
from jobs.access import allow
from jobs.audit import record
from jobs.forms import OpenJobForm, OwnerForm
from jobs.views.shared import job_or_404, saved
from vehicles.calculations.modifications import KINDS
from vehicles.forms import DocumentForm, ModificationForm, VehicleForm


@allow("jobs.book_in")
def book_in(request):
    """Open a file for the vehicle at the counter."""
    form = drafts.fill(OpenJobForm, request)
    if request.method == "POST" and form.is_valid():
        job = services.open_job(
            by=request.user,
            jurisdiction=form.cleaned_data["jurisdiction"],
            owner={name: form.cleaned_data[name] for name in ("name", "phone", "email")},
            vehicle={
                **{name: form.cleaned_data[name] for name in ("make", "model", "plate")},
                "plate_state": form.cleaned_data["jurisdiction"],
            },
        )
        return saved(request, f"{job.number} opened.", "jobs:vehicle", job.number)
    return render(request, "jobs/book_in.html", {"form": form})


@allow("jobs.book_in")
def edit_owner(request, number):
    job = job_or_404(number)
    form = drafts.fill(OwnerForm, request, instance=job.owner)
    if request.method == "POST" and form.is_valid():
        form.save()
        record(job, request.user, "Owner's details saved")
        return saved(request, "Owner's details saved.", "jobs:job", job.number)
    return render(request, "jobs/edit_owner.html", {"job": job, "form": form})


@allow("jobs.book_in")
def edit_vehicle(request, number):
    """Everything measured. What is not known yet may stay empty."""
    job = job_or_404(number)
    form = drafts.fill(VehicleForm, request, instance=job.vehicle, jurisdiction=job.jurisdiction)
    if request.method == "POST" and form.is_valid():
        vehicle = services.save_vehicle(by=request.user, job=job, form=form)
        for warning in check_vin(vehicle.vin).warnings if vehicle.vin else ():
            messages.warning(request, warning)
        return saved(request, "Vehicle saved.", "jobs:modifications", job.number)
    return render(request, "jobs/edit_vehicle.html", {"job": job, "form": form})


@allow("jobs.book_in")
def modifications(request, number):
    """What was changed on the vehicle, and the kinds that can be added."""
    job = job_or_404(number)
    return render(request, "jobs/modifications.html", {"job": job, "kinds": KINDS.values()})


@allow("jobs.book_in")
def add_modification(request, number, kind):
    job = job_or_404(number)
    if kind not in KINDS:
        messages.error(request, f"“{kind}” is not a kind of modification; choose one from the list.")
        return redirect("jobs:modifications", job.number)
    form = drafts.fill(ModificationForm, request, kind=kind)
    if request.method == "POST" and form.is_valid():
        modification = services.add_modification(by=request.user, job=job, modification=form.instance)
        return saved(request, f"{modification} added.", "jobs:modifications", job.number)
    return render(request, "jobs/add_modification.html", {"job": job, "form": form, "kind": KINDS[kind]})


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
    """Photos and papers that came with the vehicle."""
    job = job_or_404(number)
    form = drafts.fill(DocumentForm, request, initial={"kind": "photo"})
    if request.method == "POST" and form.is_valid():
        services.add_document(
            by=request.user,
            job=job,
            upload=form.cleaned_data["upload"],
            kind=form.cleaned_data["kind"],
            caption=form.cleaned_data["caption"],
            content_type=form.content_type,
        )
        return saved(request, "File added.", "jobs:photos", job.number)
    return render(request, "jobs/photos.html", {"job": job, "form": form})
