"""Every address of the site. What each view lets in is stated at the view."""

from django.contrib import admin
from django.contrib.auth import views as auth
from django.urls import include, path

handler400 = "jobs.views.bad_request.bad_request"

urlpatterns = [
    path("", include("jobs.urls")),
    path("", include("testing.urls")),
    path("", include("certificates.urls")),
    path("sign-in/", auth.LoginView.as_view(), name="login"),
    path("sign-out/", auth.LogoutView.as_view(), name="logout"),
    path("accounts/", admin.site.urls),
]
