"""Ways of looking at the job book, kept for each person."""

import pytest

from jobs.models import BookView

pytestmark = pytest.mark.django_db


def keep(client, **data):
    return client.post("/jobs/views/keep/", data, follow=True)


def test_a_view_is_kept_for_the_person_and_leads_back_to_the_same_filters(as_, desk, engineer):
    response = keep(as_(desk), name="Late with us", who="desk", late="1")
    assert response.redirect_chain == [("/jobs/?who=desk&late=1", 302)]
    assert '<a href="/jobs/?who=desk&amp;late=1">Late with us</a>' in as_(desk).get("/jobs/").content.decode()
    assert "Late with us" not in as_(engineer).get("/jobs/").content.decode()


def test_the_same_name_is_kept_once(as_, desk):
    keep(as_(desk), name="Mine", who="desk")
    keep(as_(desk), name="Mine", who="owner")
    assert BookView.objects.get().query == "who=owner"


def test_a_view_is_removed_by_its_person_only(as_, desk, engineer):
    keep(as_(desk), name="Mine", who="desk")
    as_(engineer).post("/jobs/views/remove/", {"name": "Mine"})
    assert BookView.objects.exists()
    as_(desk).post("/jobs/views/remove/", {"name": "Mine"})
    assert not BookView.objects.exists()


def test_a_view_needs_a_name(as_, desk):
    assert "A name is missing" in keep(as_(desk), name="  ", who="desk").content.decode()


def test_there_is_an_end_to_views(as_, desk):
    client = as_(desk)
    for number in range(21):
        response = keep(client, name=f"View {number}")
    assert "20 views are kept already" in response.content.decode()


STRANGE = ({"name": "x" * 500, "q": "y" * 500}, {"name": "a\x00b"}, {"name": "n", "q": "é" * 100})


@pytest.mark.parametrize("data", STRANGE)
def test_overlong_and_strange_views_are_cut_not_refused(as_, desk, data):
    assert keep(as_(desk), **data).status_code == 200
    assert BookView.objects.count() == 1
