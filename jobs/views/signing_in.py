"""The door of the house, and changing the key to it."""

from django.contrib.auth import views as auth
from django.contrib.messages.views import SuccessMessageMixin
from django.urls import reverse_lazy

from jobs.sign_in import SignInForm


class SignIn(auth.LoginView):
    """Name and password, as often as `jobs/sign_in.py` lets them be tried."""

    authentication_form = SignInForm

    def form_invalid(self, form):
        response = super().form_invalid(form)
        if form.wait_s:
            response.status_code = 429
            response["Retry-After"] = str(form.wait_s)
        return response


class OwnPassword(SuccessMessageMixin, auth.PasswordChangeView):
    """A new password, by whoever knows the old one. Sign-ins on other devices end with it."""

    template_name = "registration/own_password.html"
    success_url = reverse_lazy("home")
    success_message = "Your password is changed. Where you were signed in on another device, sign in again."
