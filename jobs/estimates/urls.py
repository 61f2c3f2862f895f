from django.urls import path

from jobs.estimates import views

patterns = [
    path("jobs/<slug:number>/estimate/", views.estimate, name="estimate"),
    path("jobs/<slug:number>/estimate/write/", views.write_estimate, name="write_estimate"),
    path("jobs/<slug:number>/estimate/payment/", views.note_payment, name="note_payment"),
    path("jobs/<slug:number>/estimate/cost/", views.note_cost, name="note_cost"),
    path("jobs/<slug:number>/estimate/<int:version>/", views.estimate_version, name="estimate_version"),
    path("jobs/<slug:number>/estimate/<int:version>/pdf/", views.estimate_pdf, name="estimate_pdf"),
    path("jobs/<slug:number>/estimate/<int:version>/send/", views.send_estimate, name="send_estimate"),
    path("jobs/<slug:number>/estimate/<int:version>/heard/", views.heard_decision, name="heard_decision"),
]
