from django.urls import path

from jobs.messages import views

patterns = [
    path("workshop/messages/", views.wordings, name="wordings"),
    path("workshop/messages/<slug:event>/", views.edit_wording, name="edit_wording"),
    path("jobs/<slug:number>/messages/", views.job_messages, name="job_messages"),
    path("jobs/<slug:number>/messages/<int:pk>/", views.job_message, name="job_message"),
    path("jobs/<slug:number>/messages/<int:pk>/again/", views.send_again, name="send_again"),
    path("jobs/<slug:number>/messages/<int:pk>/came-back/", views.came_back, name="came_back"),
]
