"""The job book: open jobs in the order of the steps, found by what people remember."""

import pytest

from tests.factories import JobFactory, OwnerFactory

pytestmark = pytest.mark.django_db


def lines(response):
    return [job.number for job, step in response.context["lines"]]


def test_open_jobs_stand_in_the_order_of_the_steps(as_, desk):
    late = JobFactory(stage="testday")
    early = JobFactory(stage="booking")
    JobFactory(stage="done")
    assert lines(as_(desk).get("/jobs/")) == [early.number, late.number]


def test_closed_jobs_have_their_own_list(as_, desk):
    done = JobFactory(stage="done")
    JobFactory()
    assert lines(as_(desk).get("/jobs/?closed=1")) == [done.number]


@pytest.mark.parametrize("words", ["WOMBAT", "wombat", "0491 570 110", "tourer hilda", "6T1WOMBAT"])
def test_a_job_is_found_by_what_people_remember(as_, desk, words):
    JobFactory()
    wanted = JobFactory(owner=OwnerFactory(name="Hilda Heath", phone="0491 570 110"),
                        vehicle__plate="WOMBAT", vehicle__vin="6T1WOMBAT00000001")  # fmt: skip
    assert lines(as_(desk).get("/jobs/", {"q": words})) == [wanted.number]


def test_a_search_without_a_find_says_where_else_to_look(as_, desk):
    assert "closed jobs" in as_(desk).get("/jobs/?q=nowhere").content.decode()


def test_a_page_that_does_not_exist_shows_the_nearest(as_, desk):
    JobFactory()
    assert as_(desk).get("/jobs/?page=banana").status_code == 200
    assert as_(desk).get("/jobs/?page=99999").status_code == 200


def test_the_lines_alone_are_sent_while_typing(as_, desk):
    response = as_(desk).get("/jobs/", headers={"HX-Request": "true"})
    assert "<html" not in response.content.decode()


def test_the_number_of_queries_does_not_grow_with_the_jobs(as_, desk, django_assert_max_num_queries):
    for _ in range(20):
        JobFactory()
    client = as_(desk)
    with django_assert_max_num_queries(8):
        client.get("/jobs/")
