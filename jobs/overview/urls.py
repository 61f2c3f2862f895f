from django.urls import path

from jobs.overview import views

patterns = [
    path("overview/", views.overview, name="overview"),
    path("overview/<slug:key>.csv", views.overview_csv, name="overview_csv"),
]
