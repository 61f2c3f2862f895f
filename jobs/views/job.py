"""The page of one job, and moving it on."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from jobs import drafts, endings, lines, stages, steps
from jobs.access import allow
from jobs.forms import SendBackForm
from jobs.reading import one_reading
from jobs.views.handing_over import handed_over
from jobs.views.shared import job_or_404, saved, saying_why


@allow("jobs.view_job")
def job_page(request, number):
    """The title block, then the five steps down the page; the current one says what stands in its way."""
    job = job_or_404(number)
    # The line may be written anew here, so it comes before the reading.
    line = lines.of(job)
    with one_reading():
        return _job_page(request, job, line)


def _job_page(request, job, line):
    current = None if job.done else steps.get(job.stage)
    rows = []
    for step, state in endings.states(job):
        shown = state in ("now", "done", "ended here")
        rows.append({"step": step, "state": state, **(step.context(job) if shown else {})})
    return render(
        request,
        "jobs/job.html",
        {
            "job": job,
            "rows": rows,
            "current": current,
            "blockers": list(current.blockers(job)) if current else [],
            "line": line,
            "ending": endings.of(job),
            "may_move": current and request.user.has_perm(current.permission),
            "may_send_back": current and current.order > 1 and request.user.has_perm("jobs.send_back"),
        },
    )


@allow("jobs.view_job")
@require_POST
def move_on(request, number):
    """Leave the current step. Who may do that, the step itself says."""
    job = job_or_404(number)
    expected = request.POST.get("step", "")
    if not job.done and not request.user.has_perm(steps.get(job.stage).permission):
        raise PermissionDenied
    with saying_why(request):
        moved = stages.move_on(job, by=request.user, expected=expected)
        title = "Closed" if moved.done else steps.get(moved.stage).title
        messages.success(request, f"{job.number} stands at: {title}.")
    return redirect(job)


@allow("jobs.send_back")
def send_back(request, number, step):
    """Return a job to an earlier step, with the reason."""
    job = job_or_404(number)
    if step not in [s.key for s in steps.all_steps()]:
        raise Http404
    form = drafts.fill(SendBackForm, request)
    if request.method == "POST" and form.is_valid():
        with saying_why(request):
            stages.send_back(job, to=step, by=request.user, reason=form.cleaned_data["reason"])
            return saved(request, f"Sent back to {steps.get(step).title}.", job)
        return redirect(job)
    return render(request, "jobs/send_back.html", {"job": job, "form": form, "step": steps.get(step)})


@allow("jobs.view_job")
def document(request, number, pk):
    """A photo or paper of this job. Images show in the page, anything else is only handed over."""
    job = job_or_404(number)
    paper = get_object_or_404(job.vehicle.documents, pk=pk)
    return handed_over(paper.file, name=paper.original_name, content_type=paper.content_type)


@allow("jobs.view_audit")
def audit_trail(request, number):
    """Who did what to the file of this job, latest first."""
    job = job_or_404(number)
    return render(request, "jobs/audit_trail.html", {"job": job, "entries": job.audit_entries.select_related("by")})
