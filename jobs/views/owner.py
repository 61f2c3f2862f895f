"""The owner's page: where the job stands, what happens next, what it costs. No account needed."""

from urllib.parse import urlencode

from django.contrib import messages
from django.http import FileResponse, Http404
from django.shortcuts import redirect, render
from django.urls import reverse

from jobs import outbox, owner_page
from jobs.access import public
from jobs.models import Workshop
from jobs.owners import codes, mail, opened
from jobs.owners.doors import by_code, by_link, sent, wanted
from jobs.owners.forms import CodeForm
from jobs.refused import Refused
from jobs.views.shared import saying_why


@by_link
def owner(request, link):
    """Behind an address that cannot be guessed; shows nothing internal and nothing of other jobs."""
    mine = opened.is_opened(request, link)
    return render(
        request,
        "jobs/owner.html",
        {
            **owner_page.contents(link.job),
            **(owner_page.personal(link.job) if mine else {}),
            "link": link,
            "mine": mine,
            "workshop": Workshop.current(),
        },
    )


@by_link
def enter_code(request, link):
    """Type the code; a right one opens what is personal, in this browser, for some hours."""
    form = CodeForm(*sent(request))
    if request.method == "POST" and form.is_valid():
        try:
            codes.check(link=link, typed=form.cleaned_data["code"])
        except Refused as refused:
            form.add_error("code", str(refused))
        else:
            opened.remember(request, link)
            return redirect(wanted(request, link))
    context = {"form": form, "link": link, "job": link.job, "to": masked(link.job.owner.email)}
    context["next"] = wanted(request, link)
    return render(request, "jobs/owner_code.html", context)


@by_link
def send_code(request, link):
    """Send a code to the owner's e-mail, at once: somebody is waiting for it."""
    if request.method == "POST":
        with saying_why(request):
            message = codes.post(link=link)
            # This letter only: what else waits is no business of a public page, and takes its time.
            sent = f"A code is on its way to {masked(link.job.owner.email)}."
            gone, text = outbox.told(outbox.send_now(message), sent)
            if gone:
                messages.success(request, text)
            else:
                messages.error(request, f"{text} Or ring the workshop: they can read you a code.")
    code_page = reverse("jobs:owner_code", args=[link.token])
    return redirect(f"{code_page}?{urlencode({'next': wanted(request, link)})}")


def masked(address):
    """Enough of an address to know it by, and not enough to learn it: o•••@e•••.com."""
    name, _, domain = address.partition("@")
    return f"{name[0]}•••@{domain[0]}•••.{domain.rpartition('.')[2]}" if name and domain else ""


@by_link
def leave(request, link):
    """On a borrowed phone: from now on this browser needs a code again."""
    if request.method == "POST":
        opened.forget(request, link)
        messages.success(request, "Left. On this device, what is personal needs a code again.")
    return redirect("jobs:owner_page", link.token)


@by_code
def owner_paper(request, link, key):
    """A paper that was issued for this job."""
    paper = owner_page.paper_or_404(link.job, key)
    return FileResponse(paper.open(), as_attachment=True, filename=paper.filename)


@by_link
def owner_mail(request, link):
    """Whether news comes by e-mail, or only what the job cannot do without."""
    if request.method == "POST":
        only = request.POST.get("only_essential") == "1"
        mail.choose(job=link.job, only_essential=only)
        messages.success(request, "You get only what the job cannot do without." if only else "You get all news.")
        return redirect("jobs:owner_page", link.token)
    context = {"link": link, "job": link.job, "only_essential": mail.only_essential(link.job.owner)}
    return render(request, "jobs/owner_mail.html", context)


@public
def logo(request):
    """The workshop's logo, which stands on pages and papers that anybody may get."""
    workshop = Workshop.current()
    if not workshop.logo:
        raise Http404
    return FileResponse(workshop.logo.open("rb"), content_type=workshop.logo_type)
