"""Moving a job on and sending it back."""

import pytest

from tests.factories import JobFactory

pytestmark = pytest.mark.django_db


def move(as_, user, job, step):
    response = as_(user).post(f"/jobs/{job.number}/move-on/", {"step": step}, follow=True)
    job.refresh_from_db()
    return response


def test_pressing_twice_moves_once(as_, desk, engineer):
    job = JobFactory(stage="booking")
    move(as_, desk, job, "booking")
    move(as_, engineer, job, "booking")
    assert job.stage == "triage"
    assert job.audit_entries.count() == 1


def test_the_desk_does_not_move_the_engineers_steps(as_, desk):
    job = JobFactory(stage="triage")
    assert move(as_, desk, job, "triage").status_code == 403
    assert job.stage == "triage"


def test_a_step_with_something_in_the_way_stays(as_, engineer):
    job = JobFactory(stage="triage")
    assert "not signed yet" in move(as_, engineer, job, "triage").content.decode()
    assert job.stage == "triage"


def test_a_job_is_sent_back_with_a_reason(as_, engineer):
    job = JobFactory(stage="scheduling")
    as_(engineer).post(f"/jobs/{job.number}/send-back/booking/", {"reason": "Wrong tyre size"})
    job.refresh_from_db()
    assert job.stage == "booking"
    assert "Wrong tyre size" in job.audit_entries.get().what


@pytest.mark.parametrize("sent", [{}, {"reason": ""}, {"reason": "x" * 500}])
def test_without_a_reason_it_stays(as_, engineer, sent):
    job = JobFactory(stage="scheduling")
    assert as_(engineer).post(f"/jobs/{job.number}/send-back/booking/", sent).status_code == 200
    job.refresh_from_db()
    assert job.stage == "scheduling"


def test_a_closed_job_is_not_sent_back(as_, engineer):
    job = JobFactory(stage="done")
    response = as_(engineer).post(f"/jobs/{job.number}/send-back/triage/", {"reason": "Why not"}, follow=True)
    assert "cannot go back" in response.content.decode()
    job.refresh_from_db()
    assert job.done


def test_a_step_that_does_not_exist_is_not_found(as_, engineer, job):
    assert as_(engineer).get(f"/jobs/{job.number}/send-back/lunch/").status_code == 404


def test_a_reason_that_was_typed_is_kept(as_, engineer):
    job = JobFactory(stage="scheduling")
    address = f"/jobs/{job.number}/send-back/booking/"
    as_(engineer).post("/drafts/keep/", {"path": address, "reason": "Wrong tyre"})
    assert as_(engineer).get(address).context["form"]["reason"].value() == "Wrong tyre"
    as_(engineer).post(address, {"reason": "Wrong tyre size"})
    assert not engineer.drafts.exists()
