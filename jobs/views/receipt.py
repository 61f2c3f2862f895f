"""The receipt that the owner takes home from the counter."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from jobs import receipt
from jobs.access import allow
from jobs.views.shared import job_or_404, saying_why


@allow("jobs.book_in")
def receipt_page(request, number):
    """To look at, to print, to send."""
    return render(request, "jobs/receipt.html", receipt.contents(job_or_404(number)))


@allow("jobs.book_in")
def receipt_pdf(request, number):
    job = job_or_404(number)
    response = HttpResponse(receipt.as_pdf(job), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="receipt-{job.number}.pdf"'
    return response


@allow("jobs.book_in")
@require_POST
def send_receipt(request, number):
    job = job_or_404(number)
    with saying_why(request):
        message = receipt.send(by=request.user, job=job)
        messages.success(request, f"The receipt is queued for {message.to}.")
    return redirect("jobs:receipt", job.number)
