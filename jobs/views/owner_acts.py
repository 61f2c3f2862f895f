"""What an owner does on their page: decide, send files, answer mornings, ask. All of it behind the code."""

from django.contrib import messages
from django.http import FileResponse, Http404
from django.shortcuts import redirect, render

from jobs import owner_page
from jobs.estimates import decisions, versions
from jobs.estimates.changes import differences
from jobs.owners import files, mornings, questions
from jobs.owners.doors import by_code, sent
from jobs.owners.forms import DecisionForm, FilesForm, MorningsForm, QuestionForm
from jobs.refused import Refused
from jobs.services import FileClosed
from jobs.views.shared import saying_why


@by_code
def owner_estimate(request, link):
    """The estimate in full, and yes or no to it."""
    estimate = versions.latest_sent(link.job)
    if estimate is None:
        raise Http404
    form = DecisionForm(*sent(request), initial={"name": link.job.owner.name})
    if request.method == "POST" and form.is_valid() and _same_version(request, estimate):
        # Enter in a field presses the first button; what cannot be undone takes a page of its own.
        if (sure := request.POST.get("sure")) is None:
            context = {"link": link, "job": link.job, "estimate": estimate, "form": form}
            return render(request, "jobs/owner_estimate_sure.html", context)
        if sure == "yes" and _decided(request, estimate, form):
            return redirect("jobs:owner_page", link.token)
    if request.method == "GET":
        decisions.opened(estimate)
    agreed = versions.accepted(link.job)
    return render(
        request,
        "jobs/owner_estimate.html",
        {
            "link": link,
            "job": link.job,
            "estimate": estimate,
            "state": versions.state(estimate),
            "decision": estimate.events.filter(kind__in=("accepted", "declined")).first(),
            "changes": list(differences(agreed.lines, estimate.lines)) if agreed and agreed != estimate else [],
            "form": form,
        },
    )


def _same_version(request, estimate):
    """Whether the version that was read is the one that is answered, not one that came meanwhile."""
    if request.POST.get("version") == str(estimate.version):
        return True
    messages.error(request, "A newer estimate came while you were reading. Here it is; please look again.")
    return False


def _decided(request, estimate, form):
    data = form.cleaned_data
    with saying_why(request):
        decisions.decide(estimate=estimate, accept=data["decision"] == "accept", name=data["name"], note=data["note"])
        messages.success(request, "Thank you. Your answer is noted, and a copy goes to your e-mail.")
        return True
    return False


@by_code
def owner_estimate_pdf(request, link, version):
    """The paper of a version as it was sent; one that was never sent is not there."""
    estimate = link.job.estimates.filter(version=version, paper__isnull=False).select_related("paper").first()
    if estimate is None:
        raise Http404
    return FileResponse(
        estimate.paper.pdf.open("rb"), as_attachment=True, filename=f"{link.job.number}-estimate-{version}.pdf"
    )


@by_code
def owner_files(request, link):
    """Photos and papers from the phone."""
    form = FilesForm(*sent(request, files=True))
    if request.method == "POST" and form.is_valid():
        try:
            kept, refused = files.take(
                job=link.job,
                files=form.cleaned_data["files"],
                what=form.cleaned_data["what"],
                note=form.cleaned_data["note"],
            )
        except FileClosed:
            messages.error(request, "The file of this job is closed; nothing can be added any more.")
            return redirect("jobs:owner_page", link.token)
        if kept:
            count = f"{len(kept)} files are" if len(kept) > 1 else "One file is"
            messages.success(request, f"{count} with the workshop now. Thank you.")
        if not refused:
            return redirect("jobs:owner_page", link.token)
        # The page comes back as it was typed: only the files have to be chosen anew.
        for sentence in refused:
            form.add_error("files", sentence)
    context = {"link": link, "job": link.job, "form": form, "uploads": owner_page.personal(link.job)["uploads"]}
    return render(request, "jobs/owner_files.html", context)


@by_code
def owner_mornings(request, link):
    """Which of the offered mornings do not suit."""
    offered = owner_page.mornings_of(link.job)
    said = link.job.morning_answers.all()
    form = MorningsForm(
        *sent(request),
        offered=offered,
        initial={
            "unsuitable": [str(row.day) for row in said if not row.suits],
            "note": next((row.note for row in said if row.note), ""),
        },
    )
    if request.method == "POST" and form.is_valid():
        if mornings.answer(job=link.job, offered=offered, unsuitable=form.days, note=form.cleaned_data["note"]):
            messages.success(request, "Thank you, we plan around it.")
        else:
            messages.error(request, "No morning is offered any more; nothing was noted.")
        return redirect("jobs:owner_page", link.token)
    context = {"link": link, "job": link.job, "form": form, "offered": offered}
    return render(request, "jobs/owner_mornings.html", context)


@by_code
def owner_ask(request, link):
    """Ask the workshop something, and read what was answered."""
    form = QuestionForm(*sent(request))
    if request.method == "POST" and form.is_valid():
        try:
            questions.ask(job=link.job, text=form.cleaned_data["text"])
        except Refused as refused:
            form.add_error("text", str(refused))
        else:
            messages.success(request, "Your question is with the workshop. The answer will stand on this page.")
            return redirect("jobs:owner_page", link.token)
    context = {"link": link, "job": link.job, "form": form, "questions": link.job.owner_questions.all()}
    return render(request, "jobs/owner_ask.html", context)
