"""Accounts, for whoever keeps them. Everything else has pages of its own."""

from django import forms
from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.forms import UserChangeForm
from django.shortcuts import redirect
from django.urls import reverse

from jobs.access import public
from jobs.models import User
from jobs.workshop import signatories

admin.site.site_header = admin.site.site_title = "Accounts"
admin.site.index_title = "People who sign in"


@public
def _sign_in(request, extra_context=None):
    """The accounts bring a sign-in of their own: two doors would be two locks to look after."""
    return redirect(f"{reverse('login')}?{request.META.get('QUERY_STRING', '')}")


admin.site.login = _sign_in


class AccountForm(UserChangeForm):
    """A person's account, whose number must not run into one series of certificates with another's."""

    def clean_authority_number(self):
        number = self.cleaned_data["authority_number"]
        if number and (taken := signatories.clash_of(number, person=self.instance)):
            raise forms.ValidationError(taken)
        return number


@admin.register(User)
class AccountAdmin(UserAdmin):
    """People and their roles. Permissions come from roles only, so they are not offered here."""

    form = AccountForm
    fieldsets = [
        (None, {"fields": ["username", "password"]}),
        ("Person", {"fields": ["first_name", "last_name", "email", "authority_number"]}),
        ("Access", {"fields": ["is_active", "groups"]}),
    ]
    filter_horizontal = ["groups"]
    list_display = ["username", "first_name", "last_name", "is_active"]
    list_filter = ["groups", "is_active"]

    def has_change_permission(self, request, obj=None):
        return super().has_change_permission(request, obj) and self._may_touch(request, obj)

    def has_delete_permission(self, request, obj=None):
        return super().has_delete_permission(request, obj) and self._may_touch(request, obj)

    @staticmethod
    def _may_touch(request, account):
        # Whoever sets a superuser's password is a superuser a minute later.
        return account is None or not account.is_superuser or request.user.is_superuser

    def save_related(self, request, form, formsets, change):
        """Who keeps the accounts gets in here: that follows the role, so a second one needs no superuser."""
        super().save_related(request, form, formsets, change)
        account = form.instance
        keeps = account.is_superuser or account.groups.filter(name="admin").exists()
        if account.is_staff != keeps:
            account.is_staff = keeps
            account.save(update_fields=["is_staff"])
