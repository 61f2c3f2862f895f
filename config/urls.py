"""Every address of the site. What each view lets in is stated at the view, or here where it is Django's own."""

from django.contrib import admin
from django.contrib.auth import views as auth
from django.urls import include, path

from jobs.access import public, signed_in
from jobs.views.health import health
from jobs.views.signing_in import OwnPassword, SignIn

handler400 = "jobs.views.bad_request.bad_request"

urlpatterns = [
    path("", include("jobs.urls")),
    path("", include("testing.urls")),
    path("", include("certificates.urls")),
    path("sign-in/", public(SignIn.as_view()), name="login"),
    path("sign-out/", signed_in(auth.LogoutView.as_view()), name="logout"),
    path("my-password/", signed_in(OwnPassword.as_view()), name="own_password"),
    path("accounts/", admin.site.urls),
    path("health/", health, name="health"),
]
