"""Accounts, for whoever keeps them. Everything else has pages of its own."""

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.shortcuts import redirect
from django.urls import reverse

from jobs.access import public
from jobs.models import User

admin.site.site_header = admin.site.site_title = "Accounts"
admin.site.index_title = "People who sign in"


@public
def _sign_in(request, extra_context=None):
    """The accounts bring a sign-in of their own: two doors would be two locks to look after."""
    return redirect(f"{reverse('login')}?{request.META.get('QUERY_STRING', '')}")


admin.site.login = _sign_in


@admin.register(User)
class AccountAdmin(UserAdmin):
    """People and their roles. Permissions come from roles only, so they are not offered here."""

    fieldsets = [
        (None, {"fields": ["username", "password"]}),
        ("Person", {"fields": ["first_name", "last_name", "email", "authority_number"]}),
        ("Access", {"fields": ["is_active", "groups"]}),
    ]
    filter_horizontal = ["groups"]
    list_display = ["username", "first_name", "last_name", "is_active"]
    list_filter = ["groups", "is_active"]
