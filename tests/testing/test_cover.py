"""Insurance cover: recorded and, when it was recorded wrongly, removed."""

from decimal import Decimal

import pytest
from django.urls import reverse

from testing.models import InsuranceCover
from tests.factories import CoverFactory, JobFactory
from tests.scheduling_factories import in_days

pytestmark = pytest.mark.django_db


def post(client, job, **changed):
    values = {
        "arranged_by": "owner", "reference": "Wattle Mutual 12", "sum_aud": "38000.50",
        "valid_from": in_days(1).isoformat(), "valid_to": in_days(30).isoformat(),
    }  # fmt: skip
    return client.post(reverse("testing:cover", args=[job.number]), {**values, **changed})


def test_a_cover_is_recorded(as_, engineer, job):
    assert post(as_(engineer), job).status_code == 302
    cover = job.covers.get()
    assert (cover.arranged_by, cover.sum_aud, cover.valid_to) == ("owner", Decimal("38000.50"), in_days(30))
    assert "Wattle Mutual 12" in job.audit_entries.first().what


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("arranged_by", ""),
        ("arranged_by", "nobody"),
        ("reference", ""),
        ("reference", "x" * 121),
        ("reference", "a\x00b"),
        ("sum_aud", ""),
        ("sum_aud", "0"),
        ("sum_aud", "-5"),
        ("sum_aud", "NaN"),
        ("sum_aud", "5000001"),
        ("sum_aud", "9" * 40),
        ("sum_aud", "1.001"),
        ("valid_from", "soon"),
        ("valid_to", ""),
        ("valid_to", "2020-01-01"),
    ],
)
def test_bad_input_is_answered_at_the_field(as_, engineer, job, field, value):
    response = post(as_(engineer), job, **{field: value})
    assert response.status_code == 200
    assert response.context["form"].errors.keys() == {field}
    assert not job.covers.exists()


def test_a_cover_of_one_day_is_a_cover(as_, engineer, job):
    assert post(as_(engineer), job, valid_to=in_days(1).isoformat()).status_code == 302


def test_a_cover_recorded_wrongly_is_removed_and_stays_in_the_trail(as_, engineer, job):
    cover = CoverFactory(job=job)
    as_(engineer).post(reverse("testing:remove_cover", args=[job.number, cover.pk]))
    assert not job.covers.exists()
    assert job.audit_entries.first().details["sum_aud"] == "40000.00"


def test_the_cover_of_another_job_cannot_be_removed(as_, engineer, job):
    cover = CoverFactory(job=JobFactory())
    url = reverse("testing:remove_cover", args=[job.number, cover.pk])
    assert "not recorded any more" in as_(engineer).post(url, follow=True).content.decode()
    assert InsuranceCover.objects.filter(pk=cover.pk).exists()


def test_a_closed_file_takes_and_loses_no_cover(as_, engineer):
    job = JobFactory(stage="done")
    cover = CoverFactory(job=job)
    assert "is closed" in post(as_(engineer), job).content.decode()
    as_(engineer).post(reverse("testing:remove_cover", args=[job.number, cover.pk]))
    assert list(job.covers.all()) == [cover]


def test_who_may_not_plan_may_not_record(as_, desk, job):
    assert post(as_(desk), job).status_code == 403
    cover = CoverFactory(job=job)
    assert as_(desk).post(reverse("testing:remove_cover", args=[job.number, cover.pk])).status_code == 403


def test_removing_is_posted(as_, engineer, job):
    cover = CoverFactory(job=job)
    assert as_(engineer).get(reverse("testing:remove_cover", args=[job.number, cover.pk])).status_code == 405
