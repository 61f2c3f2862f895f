"""Accounts, for whoever keeps them. Everything else has pages of its own."""

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin

from jobs.models import User

admin.site.site_header = admin.site.site_title = "Accounts"
admin.site.index_title = "People who sign in"


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
