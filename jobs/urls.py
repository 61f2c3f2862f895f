from django.urls import include, path

from jobs.owner_urls import patterns as owner_side
from jobs.views import book, booking, ending, home, job, receipt, waiting

jobs = [
    path("jobs/", book.job_book, name="book"),
    path("jobs/book-in/", booking.book_in, name="book_in"),
    path("jobs/returning/", booking.find_returning, name="returning"),
    path("jobs/views/keep/", book.keep_view, name="keep_view"),
    path("jobs/views/remove/", book.remove_view, name="remove_view"),
    path("jobs/<slug:number>/", job.job_page, name="job"),
    path("jobs/<slug:number>/owner/", booking.edit_owner, name="owner"),
    path("jobs/<slug:number>/coming-in/", booking.edit_coming_in, name="coming_in"),
    path("jobs/<slug:number>/vehicle/", booking.edit_vehicle, name="vehicle"),
    path("jobs/<slug:number>/modifications/", booking.modifications, name="modifications"),
    path("jobs/<slug:number>/modifications/add/<slug:kind>/", booking.add_modification, name="add_modification"),
    path("jobs/<slug:number>/modifications/<int:pk>/", booking.edit_modification, name="edit_modification"),
    path(
        "jobs/<slug:number>/modifications/<int:pk>/remove/",
        booking.remove_modification,
        name="remove_modification",
    ),
    path("jobs/<slug:number>/photos/", booking.photos, name="photos"),
    path("jobs/<slug:number>/receipt/", receipt.receipt_page, name="receipt"),
    path("jobs/<slug:number>/receipt.pdf", receipt.receipt_pdf, name="receipt_pdf"),
    path("jobs/<slug:number>/receipt/send/", receipt.send_receipt, name="send_receipt"),
    path("jobs/<slug:number>/waiting/", waiting.wait_for, name="wait_for"),
    path("jobs/<slug:number>/waiting/stop/", waiting.wait_no_more, name="wait_no_more"),
    path("jobs/<slug:number>/close/", ending.close_without, name="close_without"),
    path("jobs/<slug:number>/open-again/", ending.open_again, name="open_again"),
    path("jobs/<slug:number>/documents/<int:pk>/", job.document, name="document"),
    path("jobs/<slug:number>/documents/<int:pk>/set-aside/", booking.set_aside, name="set_aside"),
    path("jobs/<slug:number>/documents/<int:pk>/bring-back/", booking.bring_back, name="bring_back"),
    path("jobs/<slug:number>/move-on/", job.move_on, name="move_on"),
    path("jobs/<slug:number>/send-back/<slug:step>/", job.send_back, name="send_back"),
    path("jobs/<slug:number>/audit-trail/", job.audit_trail, name="audit_trail"),
    path("drafts/keep/", home.keep_draft, name="keep_draft"),
    path("drafts/forget/", home.forget_draft, name="forget_draft"),
    *owner_side,
]

urlpatterns = [
    path("", home.home, name="home"),
    path("", include((jobs, "jobs"))),
]
