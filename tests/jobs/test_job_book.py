"""The job book: who must act next and by when, what is late, found by what people remember."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs import lines, services, steps
from jobs.models import BookLine
from jobs.search_text import text_of, words_of
from tests.factories import JobFactory, OwnerFactory

pytestmark = pytest.mark.django_db


def numbers(response):
    return [line.job.number for line, title in response.context["lines"]]


def put(job, **line):
    """Set a line as if it had been worked out so."""
    BookLine.objects.filter(job=job).update(look_again_at=None, **line)


def test_lines_stand_in_the_order_of_who_must_act_and_by_when(as_, desk):
    now = timezone.now()
    soon, later = now + timedelta(hours=2), now + timedelta(days=2)
    wanted = [
        JobFactory(number=f"J2026-9{rank}{place}")
        for rank, due in enumerate([soon] * len(steps.ACTORS))
        for place in range(2)
    ]
    for place, job in reversed(list(enumerate(wanted))):
        put(job, actor=place // 2 + 1, due_at=later if place % 2 else soon)
    assert numbers(as_(desk).get("/jobs/")) == [job.number for job in wanted]


def test_what_is_late_says_by_how_much_and_why(as_, desk):
    job = JobFactory(modifications=[])
    job.stage_since = timezone.now() - timedelta(days=3, minutes=1)
    job.save(update_fields=["stage_since"])
    page = " ".join(as_(desk).get("/jobs/?late=1").content.decode().split())
    assert "late by 2 days" in page
    assert "Book in may take 1 day" in page
    assert "No modification entered" in page


def test_what_is_not_late_is_not_listed_as_late(as_, desk, job):
    assert numbers(as_(desk).get("/jobs/?late=1")) == []
    assert numbers(as_(desk).get("/jobs/")) == [job.number]


def test_the_book_is_narrowed_by_who_and_step(as_, desk):
    booked, triaged = JobFactory(), JobFactory(stage="triage")
    assert numbers(as_(desk).get("/jobs/?who=engineer")) == [triaged.number]
    assert numbers(as_(desk).get("/jobs/?step=booking")) == [booked.number]
    assert len(numbers(as_(desk).get("/jobs/?who=mars&step=moon&late=maybe"))) == 2


def test_closed_jobs_have_their_own_list(as_, desk):
    done = JobFactory(stage="done")
    JobFactory()
    assert numbers(as_(desk).get("/jobs/?closed=1")) == [done.number]


@pytest.mark.parametrize(
    "words",
    [
        *("WOMBAT", "wombat", "WOM-BAT", "wom bat"),
        *("0491 570 110", "0491570110", "+61 491 570 110", "570110"),
        *("tourer hilda", "6T1WOMBAT", "0000001 heath", "HÉATH", "hilda@example.com"),
    ],
)
def test_a_job_is_found_by_what_people_remember(as_, desk, words):
    JobFactory()
    wanted = JobFactory(owner=OwnerFactory(name="Hilda Heath", phone="0491 570 110", email="hilda@example.com"),
                        vehicle__plate="WOMBAT", vehicle__vin="6T1WOMBAT00000001")  # fmt: skip
    assert numbers(as_(desk).get("/jobs/", {"q": words})) == [wanted.number]


def test_a_job_is_found_by_its_number_with_and_without_the_dash(as_, desk):
    job = JobFactory(number="J2026-7731")
    JobFactory()
    for typed in ("J2026-7731", "j20267731", "7731"):
        assert numbers(as_(desk).get("/jobs/", {"q": typed})) == [job.number]


@pytest.mark.parametrize("typed", ["%", "_", "'", '"; drop', "\\", "\N{PILE OF POO}" * 90, "…", "a" * 5000])
def test_signs_that_mean_something_elsewhere_find_nothing_and_break_nothing(as_, desk, job, typed):
    assert as_(desk).get("/jobs/", {"q": typed}).status_code == 200


def test_a_changed_owner_is_found_by_the_new_name(as_, desk, job):
    as_(desk).get("/jobs/")
    as_(desk).post(f"/jobs/{job.number}/owner/", {"name": "Xanthe Quoll", "phone": "0491 570 156", "email": ""})
    assert numbers(as_(desk).get("/jobs/?q=quoll")) == [job.number]


def test_a_search_without_a_find_says_where_else_to_look(as_, desk):
    assert "closed jobs" in as_(desk).get("/jobs/?q=nowhere").content.decode()


def test_a_page_that_does_not_exist_shows_the_nearest(as_, desk):
    JobFactory()
    assert as_(desk).get("/jobs/?page=banana").status_code == 200
    assert as_(desk).get("/jobs/?page=99999").status_code == 200


def test_the_lines_alone_are_sent_while_typing(as_, desk):
    response = as_(desk).get("/jobs/", headers={"HX-Request": "true"})
    assert "<html" not in response.content.decode()


def queries_of(client):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as seen:
        client.get("/jobs/")
    return len(seen)


def test_the_number_of_queries_does_not_grow_with_the_jobs(as_, desk):
    client = as_(desk)
    JobFactory()
    client.get("/jobs/")
    one = queries_of(client)
    for _ in range(60):
        JobFactory()
    lines.catch_up_all()
    assert queries_of(client) == one


def test_a_page_works_out_a_limited_number_of_lines(as_, desk):
    for _ in range(lines.MOST_AT_ONCE + 3):
        JobFactory()
    as_(desk).get("/jobs/")
    assert BookLine.objects.filter(look_again_at__lte=timezone.now()).count() == 3


def test_whoever_is_waited_for_stands_in_the_book_until_that_day_and_is_late_after_it(as_, desk, engineer, job):
    until = timezone.localdate() + timedelta(days=4)
    services.wait_for(by=engineer, job=job, who="third party", what="Kit approval", until=until)
    [(line, _)] = as_(desk).get("/jobs/?who=third+party").context["lines"]
    assert line.act == "Kit approval"
    assert timezone.localdate(line.due_at) == until
    put(job, due_at=timezone.now() - timedelta(days=1))
    assert numbers(as_(desk).get("/jobs/?late=1")) == [job.number]


def test_a_step_that_cannot_say_is_named_and_the_book_still_opens(as_, desk, job, monkeypatch, caplog):
    from dataclasses import replace

    def broken(job):
        raise ZeroDivisionError

    monkeypatch.setitem(steps._steps, "booking", replace(steps.get("booking"), next_act=broken))
    [(line, _)] = as_(desk).get("/jobs/").context["lines"]
    assert line.act == "Open the job: its next act is not clear."
    assert job.number in caplog.text


@pytest.mark.parametrize(
    "typed", ["+61 4", "+61 491", "+61 491 570", "+61491570110", "(+61) 491", "+61 (0)491 57", "0491 570"]
)
def test_a_telephone_number_is_found_while_it_is_typed(typed):
    stored = text_of(JobFactory(owner__phone="0491 570 110"))
    assert all(word in stored for word in words_of(typed)), words_of(typed)
    assert words_of("+61 491") == ["0491"]
