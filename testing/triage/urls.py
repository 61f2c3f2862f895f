from django.urls import path

from testing.triage import views

urlpatterns = [
    path("jobs/<slug:number>/first-look/", views.first_look, name="first_look"),
    path("jobs/<slug:number>/triage/", views.triage, name="triage"),
    path("jobs/<slug:number>/triage/sign/", views.sign, name="sign_triage"),
    path("jobs/<slug:number>/triage/decide/<path:code>/", views.decide, name="decide"),
    path("jobs/<slug:number>/triage/signed/<int:pk>/", views.signed_triage, name="signed_triage"),
]
