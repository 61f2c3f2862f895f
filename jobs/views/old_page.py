"""A form that was sent from a page which had grown old: signed in again elsewhere, or its cookie is gone."""

from django.shortcuts import render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme


def old_page(request, reason=""):
    """Say that nothing is lost, and lead back to the form: what was typed is kept on the device (kept.js)."""
    back = request.META.get("HTTP_REFERER", "")
    if not url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}):
        back = reverse("home")
    return render(request, "403_csrf.html", {"back": back}, status=403)
