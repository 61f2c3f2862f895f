"""The desk's side of the owner's page: links, codes for the phone, questions to answer."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from jobs import drafts, outbox, owner_page
from jobs.access import allow
from jobs.models import OwnerQuestion
from jobs.owners import codes, links, questions, words
from jobs.owners.forms import AnswerForm
from jobs.refused import Refused
from jobs.views.shared import job_or_404, saved, saying_why
from jobs.workshop.addresses import absolute

DEAL = "jobs.deal_with_owner"


@allow(DEAL)
def owner_side(request, number):
    """What the owner can see and has said, in one place."""
    job = job_or_404(number)
    standing = job.owner_links.standing().first()
    return render(
        request,
        "jobs/owner_side.html",
        {
            "job": job,
            "said": job.owner_words.select_related("noted_by"),
            "links": job.owner_links.select_related("created_by"),
            "standing": standing,
            "address": absolute(reverse("jobs:owner_page", args=[standing.token])) if standing else "",
            "questions": job.owner_questions.select_related("answered_by"),
            "answers": job.morning_answers.all(),
            "offered": owner_page.mornings_of(job),
            "uploads": job.owner_uploads.select_related("document"),
        },
    )


@allow(DEAL)
@require_POST
def new_link(request, number):
    job = job_or_404(number)
    link = links.make(job=job, by=request.user)
    messages.success(request, f"New link made; it works until {link.works_until}.")
    return redirect("jobs:owner_side", job.number)


@allow(DEAL)
@require_POST
def withdraw_link(request, number, pk):
    job = job_or_404(number)
    if links.withdraw(job=job, by=request.user, pk=pk):
        messages.success(request, "The link is withdrawn: it opens nothing any more.")
    else:
        messages.error(request, "That link is not there, or is withdrawn already.")
    return redirect("jobs:owner_side", job.number)


@allow(DEAL)
@require_POST
def mail_link(request, number):
    job = job_or_404(number)
    if message := links.post(job=job, by=request.user):
        sent = f"The address of the page is on its way to {job.owner.email}."
        gone, text = outbox.told(outbox.send_now(message), sent)
        (messages.success if gone else messages.error)(request, text)
    else:
        messages.error(request, "No standing link, or no e-mail of the owner that can be written to.")
    return redirect("jobs:owner_side", job.number)


@allow(DEAL)
@require_POST
def read_out_code(request, number):
    """A code to read to the owner on the phone, shown once."""
    job = job_or_404(number)
    standing = job.owner_links.standing().first()
    with saying_why(request):
        if standing is None:
            raise Refused("No link stands: make a new one first.")
        code = codes.read_out(link=standing, by=request.user)
        minutes = codes.LIFE.seconds // 60
        messages.success(request, f"Code {code}: read it to the owner. It works once, for {minutes} minutes.")
    return redirect("jobs:owner_side", job.number)


@allow(DEAL)
@require_POST
def note_words(request, number):
    """What the owner said is read; the number of the last one shown keeps what came meanwhile."""
    job = job_or_404(number)
    try:
        up_to = int(request.POST.get("up_to", "")[:18])
    except ValueError:
        up_to = 0
    if words.note(job=job, by=request.user, up_to=up_to):
        messages.success(request, "Noted.")
    return redirect(job)


@allow(DEAL)
def answer_question(request, number, pk):
    job = job_or_404(number)
    question = get_object_or_404(OwnerQuestion, job=job, pk=pk)
    form = drafts.fill(AnswerForm, request, initial={"text": question.answer})
    if request.method == "POST" and form.is_valid():
        questions.answer(question=question, by=request.user, text=form.cleaned_data["text"])
        return saved(request, "Answered.", "jobs:owner_side", job.number)
    return render(request, "jobs/owner_answer.html", {"job": job, "question": question, "form": form})
