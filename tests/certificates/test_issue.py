"""certificates:issue, the signature."""

import pytest
from django.urls import reverse

from certificates.models import Certificate
from certificates.outcomes import DECLARATION
from tests.certificates_factories import heavy_job, untested_job


def url(job):
    return reverse("certificates:issue", args=[job.number])


def test_the_page_shows_what_will_be_sealed_and_what_signing_does(engineer, as_):
    page = as_(engineer).get(url(untested_job(engineer))).content.decode()
    assert DECLARATION in page
    assert "None of this can be undone." in page
    assert "No driving test required." in page


def test_signing_issues_and_shows_the_entry(engineer, as_):
    job = untested_job(engineer)
    response = as_(engineer).post(url(job), {"declared": "on"}, follow=True)
    certificate = Certificate.objects.get()
    assert response.redirect_chain[-1][0] == reverse("certificates:certificate", args=[certificate.number])
    assert f"{certificate.number} is issued and sealed." in response.content.decode()


@pytest.mark.parametrize("data", [{}, {"declared": ""}, {"declared": "false"}], ids=["nothing", "empty", "false"])
def test_without_the_declaration_nothing_is_signed(engineer, as_, data):
    response = as_(engineer).post(url(untested_job(engineer)), data)
    assert "Tick the declaration" in response.content.decode()
    assert not Certificate.objects.exists()


def test_a_form_sent_past_a_gap_is_refused_with_the_reasons(engineer, as_):
    response = as_(engineer).post(url(heavy_job(engineer, safe=False)), {"declared": "on"})
    assert response.status_code == 200
    assert "does not call the vehicle safe to drive" in response.content.decode()
    assert "Sign and issue</button>" not in response.content.decode()
    assert not Certificate.objects.exists()


def test_pressed_twice_it_leads_to_the_one_certificate(engineer, as_):
    job = untested_job(engineer)
    for _ in range(2):
        response = as_(engineer).post(url(job), {"declared": "on"})
        assert response.url == reverse("certificates:certificate", args=[Certificate.objects.get().number])


@pytest.mark.parametrize("who", ["desk", "driver_user", "owner_user", "auditor", "admin_user"])
def test_nobody_else_signs(request, job, as_, who):
    client = as_(request.getfixturevalue(who))
    assert client.get(url(job)).status_code == 403
    assert client.post(url(job), {"declared": "on"}).status_code == 403
    assert not Certificate.objects.exists()
