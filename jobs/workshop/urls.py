from django.urls import path

from jobs.workshop import price_views, views

patterns = [
    path("workshop/", views.workshop, name="workshop"),
    path("workshop/signatories/", views.signatories_page, name="signatories"),
    path("workshop/signatories/<int:pk>/end/", views.end_authority, name="end_authority"),
    path("workshop/prices/", views.price_books, name="price_books"),
    path("workshop/prices/new/", price_views.new_price_book, name="new_price_book"),
    path("workshop/prices/<int:pk>/", views.price_book, name="price_book"),
]
