"""Wordings in the settings, and the messages of a job: what went out, what did not."""

import re

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from jobs import drafts, loaded, outbox
from jobs.access import allow
from jobs.messages import bounces, wording
from jobs.messages.forms import CameBackForm
from jobs.models import MessageText, NoMail, OutboxMessage
from jobs.views.shared import acted, come_again, job_or_404, saved, saying_why
from jobs.workshop.forms import MessageForm

DEAL = "jobs.deal_with_owner"


@allow("jobs.keep_workshop")
def wordings(request):
    own = set(MessageText.objects.values_list("event", flat=True))
    rows = [(event, event.key in own, wording.text_of(event.key)[0]) for event in wording.events().values()]
    return render(request, "jobs/messages/wordings.html", {"rows": rows})


@allow("jobs.keep_workshop")
def edit_wording(request, event):
    """Write a wording and see what it looks like before it is kept."""
    if event not in wording.events():
        messages.error(request, f"“{event[:40]}” is not one of our messages; choose one from the list.")
        return redirect("jobs:wordings")
    about = wording.event(event)
    own = wording.own(event)
    counts = own or about
    initial = {"subject": counts.subject, "body": counts.body}
    form = drafts.fill(MessageForm, request, event=about, initial=initial, of_stored=True)
    if request.method == "POST" and form.is_valid() and "look" not in request.POST:
        try:
            wording.save(key=event, by=request.user, seen=own, **form.cleaned_data)
        except loaded.Meanwhile as meanwhile:
            return come_again(request, form, meanwhile)
        return saved(request, f"“{about.title}” is kept.", "jobs:wordings")
    earlier = MessageText.objects.filter(event=event).select_related("by")[:5]
    context = {"event": about, "form": form, "preview": form.preview(), "earlier": earlier}
    return render(request, "jobs/messages/wording.html", context)


# The key in an address opens the owner's page; who does not deal with owners reads the letter without it.
_KEY = re.compile(r"(/owner/)[^/\s]+")


def without_keys(body):
    return _KEY.sub(r"\1(key not shown)", body)


@allow("jobs.view_job")
def job_messages(request, number):
    """Every message of a job, the ones in trouble first."""
    job = job_or_404(number)
    rows = bounces.with_state(job.messages.prefetch_related("attempts", "attachments"))
    return render(
        request,
        "jobs/messages/messages.html",
        {"job": job, "rows": rows, "only_essential": NoMail.objects.filter(owner=job.owner_id).exists()},
    )


@allow("jobs.view_job")
def job_message(request, number, pk):
    """One message as it was written, and every try to send it."""
    job = job_or_404(number)
    message = get_object_or_404(job.messages.prefetch_related("attempts"), pk=pk)
    return render(
        request,
        "jobs/messages/message.html",
        {
            "job": job,
            "message": message,
            "body": message.body if request.user.has_perm(DEAL) else without_keys(message.body),
            "row": bounces.with_state([message])[0],
            "may_send": outbox.may_be_tried_again(message),
        },
    )


@allow(DEAL)
@require_POST
def send_again(request, number, pk):
    message = get_object_or_404(OutboxMessage, job=job_or_404(number), pk=pk)
    with saying_why(request):
        outbox.try_again(message)
        gone, text = outbox.told(outbox.send_now(message), "Sent again.")
        (messages.success if gone else messages.error)(request, text)
    return redirect("jobs:job_message", number, pk)


@allow(DEAL)
def came_back(request, number, pk):
    """Note that a message came back as undeliverable."""
    job = job_or_404(number)
    message = get_object_or_404(OutboxMessage, job=job, pk=pk)
    form = drafts.fill(CameBackForm, request)
    if acted(request, form, lambda said: bounces.note(message=message, by=request.user, **said)):
        return saved(request, "Noted: the message came back.", "jobs:job_messages", number)
    return render(request, "jobs/messages/came_back.html", {"job": job, "message": message, "form": form})
