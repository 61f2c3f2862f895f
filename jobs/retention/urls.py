from django.urls import path

from jobs.retention import views

patterns = [
    path("workshop/old-files/", views.old_file_list, name="old_files"),
    path("workshop/old-files/<slug:kind>/<int:pk>/", views.old_file, name="old_file"),
    path("workshop/old-files/<slug:kind>/<int:pk>/erase/", views.erase_old_file, name="erase_old_file"),
]
