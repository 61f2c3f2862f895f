"""Declarations and secrets are given anew each time: everything else that was typed comes back, they do not."""

import re
from pathlib import Path

import pytest
from django import forms
from django.urls import reverse

from certificates.forms import IssueForm
from certificates.later_forms import CorrectForm, WithdrawForm
from certificates.services import issue
from jobs import drafts
from jobs.models import Draft
from testing.testday.signing_forms import CountersignForm, DrivingReportForm, StatementForm
from tests.certificates_factories import untested_job

pytestmark = pytest.mark.django_db


def ticked(page, name):
    (box,) = re.findall(rf'<input[^>]*name="{name}"[^>]*>', page)
    return "checked" in box


def test_the_signatorys_declaration_does_not_come_back_ticked(as_, engineer):
    job = untested_job(engineer)
    path = reverse("certificates:issue", args=[job.number])
    client = as_(engineer)
    client.post("/drafts/keep/", {"path": path, "declared": "on"})
    page = client.get(path).content.decode()
    assert not ticked(page, "declared")
    assert 'data-never-kept="declared password"' in page
    assert 'hx-params="not csrfmiddlewaretoken,declared,password"' in page


def test_the_reason_of_a_withdrawal_comes_back_and_its_tick_does_not(as_, engineer):
    certificate = issue(job=untested_job(engineer), by=engineer)
    path = reverse("certificates:withdraw", args=[certificate.number])
    client = as_(engineer)
    client.post("/drafts/keep/", {"path": path, "reason": "Wrong vehicle", "understood": "on"})
    page = client.get(path).content.decode()
    assert "Wrong vehicle" in page
    assert not ticked(page, "understood")


class Signing(forms.Form):
    never_kept = drafts.never("pin")
    pin = forms.CharField()
    place = forms.CharField()
    day = forms.DateField()


def test_an_unsendable_form_keeps_the_rest(rf, engineer):
    request = rf.post("/x/", {"pin": "4711", "place": "Saltbush", "day": "never"})
    request.user = engineer
    assert drafts.fill(Signing, request).errors
    assert Draft.objects.get().values == {"place": "Saltbush", "day": "never"}


SIGNED = {"safe": "yes", "signed_name": "Dana Driver", "strokes": "[[[1,2],[3,4]]]"}


@pytest.mark.parametrize("form", [StatementForm, CountersignForm, DrivingReportForm])
def test_whatever_ends_in_a_signature_names_word_name_and_strokes(form):
    assert set(form.never_kept) == set(SIGNED)


def test_a_signature_is_taken_as_a_draft_from_no_page(as_, engineer):
    as_(engineer).post("/drafts/keep/", {"path": "/anywhere/", "remark": "Steady.", "safe": "yes", **SIGNED})
    assert Draft.objects.get().values == {"remark": "Steady."}


@pytest.mark.parametrize("form", [IssueForm, CorrectForm, WithdrawForm])
def test_every_tick_that_signs_and_every_secret_is_named(form):
    asked = {
        name
        for name, field in form.base_fields.items()
        if isinstance(field.widget, forms.PasswordInput) or (isinstance(field, forms.BooleanField) and field.required)
    }
    assert asked <= set(form.never_kept)


def test_the_device_leaves_them_out_as_well():
    script = Path("config/static/kept.js").read_text(encoding="utf-8")
    assert script.count("never.has(field.name)") == 2, "neither written to the device nor read from an older copy"
