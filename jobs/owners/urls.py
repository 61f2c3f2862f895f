"""Addresses of the owner's page, and of the desk's side of it."""

from django.urls import path

from jobs.views import owner, owner_acts, owner_desk

patterns = [
    path("owner/<str:token>/", owner.owner, name="owner_page"),
    path("owner/<str:token>/code/", owner.enter_code, name="owner_code"),
    path("owner/<str:token>/code/send/", owner.send_code, name="owner_send_code"),
    path("owner/<str:token>/leave/", owner.leave, name="owner_leave"),
    path("owner/<str:token>/papers/<slug:key>/", owner.owner_paper, name="owner_paper"),
    path("owner/<str:token>/e-mail/", owner.owner_mail, name="owner_mail"),
    path("owner/<str:token>/estimate/", owner_acts.owner_estimate, name="owner_estimate"),
    path("owner/<str:token>/estimate/<int:version>/pdf/", owner_acts.owner_estimate_pdf, name="owner_estimate_pdf"),
    path("owner/<str:token>/files/", owner_acts.owner_files, name="owner_files"),
    path("owner/<str:token>/mornings/", owner_acts.owner_mornings, name="owner_mornings"),
    path("owner/<str:token>/questions/", owner_acts.owner_ask, name="owner_ask"),
    path("workshop-logo/", owner.logo, name="logo"),
    path("jobs/<slug:number>/owner-side/", owner_desk.owner_side, name="owner_side"),
    path("jobs/<slug:number>/owner-side/new-link/", owner_desk.new_link, name="new_link"),
    path("jobs/<slug:number>/owner-side/links/<int:pk>/withdraw/", owner_desk.withdraw_link, name="withdraw_link"),
    path("jobs/<slug:number>/owner-side/mail-link/", owner_desk.mail_link, name="mail_link"),
    path("jobs/<slug:number>/owner-side/noted/", owner_desk.note_words, name="note_words"),
    path("jobs/<slug:number>/owner-side/code/", owner_desk.read_out_code, name="read_out_code"),
    path("jobs/<slug:number>/owner-side/questions/<int:pk>/", owner_desk.answer_question, name="answer_question"),
]
