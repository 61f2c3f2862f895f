"""Two who keep the workshop at the same time: neither overwrites what the other saved and they never saw."""

import html

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from jobs import loaded
from jobs.messages import wording
from jobs.models import MessageText, PriceBookEdition, Workshop
from jobs.workshop import prices, settings
from tests.jobs.test_loaded import opened
from tests.jobs.test_workshop import typed
from tests.owner_side import photo, workshop

pytestmark = pytest.mark.django_db

WORKSHOP = "/workshop/"
WORDING = "/workshop/messages/estimate/"
PRICES = "/workshop/prices/new/"


@pytest.fixture
def client_(as_, admin_user):
    return as_(admin_user)


def text_of(response):
    return html.unescape(response.content.decode())


def logo(name="logo.png"):
    return SimpleUploadedFile(name, photo(kind="PNG").read(), content_type="image/png")


# the workshop


def test_each_saves_what_they_changed_and_nothing_else(client_):
    workshop()
    one, other = opened(client_, WORKSHOP), opened(client_, WORKSHOP)
    assert client_.post(WORKSHOP, {**one, "phone": "02 5550 0199", "days_booking": "4"}).status_code == 302
    assert client_.post(WORKSHOP, {**other, "retention_years": "9", "terms": "New terms."}).status_code == 302
    now = Workshop.current()
    assert (now.phone, now.retention_years, now.terms) == ("02 5550 0199", 9, "New terms.")
    assert now.step_days["booking"] == 4


def test_where_both_changed_the_same_both_values_are_shown_and_the_next_save_counts(client_):
    workshop()
    one, other = opened(client_, WORKSHOP), opened(client_, WORKSHOP)
    client_.post(WORKSHOP, {**one, "retention_years": "10", "phone": "02 5550 0199"})
    response = client_.post(WORKSHOP, {**other, "retention_years": "5"})
    said = "Somebody saved “10” here since you opened this page; before that it was “7”. You typed “5”"
    assert said in text_of(response)
    assert Workshop.current().retention_years == 10
    assert client_.post(WORKSHOP, response.context["form"].data.dict()).status_code == 302
    assert (Workshop.current().retention_years, Workshop.current().phone) == (5, "02 5550 0199")


def test_a_save_in_the_same_moment_comes_again_with_what_was_typed(client_, monkeypatch):
    workshop()
    page = opened(client_, WORKSHOP)
    save = settings.save

    def second(**values):
        workshop(phone="02 5550 0177")
        return save(**values)

    monkeypatch.setattr(settings, "save", second)
    response = client_.post(WORKSHOP, {**page, "phone": "02 5550 0188"}, follow=True)
    assert "at the same moment" in text_of(response)
    assert response.context["form"]["phone"].value() == "02 5550 0188"
    assert "the file says “02 5550 0177” by now" in text_of(response)
    assert Workshop.current().phone == "02 5550 0177"


@pytest.mark.parametrize("act", [{"no_logo": "on"}, {"new_logo": "file"}])
def test_a_logo_of_another_is_not_lost_unseen(client_, act):
    workshop()
    page = opened(client_, WORKSHOP)
    client_.post(WORKSHOP, {**opened(client_, WORKSHOP), "new_logo": logo()})
    theirs = Workshop.current().logo.name
    mine = {name: logo() if value == "file" else value for name, value in act.items()}
    response = client_.post(WORKSHOP, {**page, **mine})
    assert "Somebody changed the logo since you opened this page" in text_of(response)
    assert Workshop.current().logo.name == theirs
    again = {**response.context["form"].data.dict(), **{n: logo() if v == "file" else v for n, v in act.items()}}
    assert client_.post(WORKSHOP, again).status_code == 302
    assert Workshop.current().logo.name != theirs


def test_the_logo_of_another_stays_where_mine_was_not_touched(client_):
    workshop()
    page = opened(client_, WORKSHOP)
    client_.post(WORKSHOP, {**opened(client_, WORKSHOP), "new_logo": logo()})
    theirs = Workshop.current().logo.name
    client_.post(WORKSHOP, {**page, "phone": "02 5550 0199"})
    assert (Workshop.current().logo.name, Workshop.current().phone) == (theirs, "02 5550 0199")


# wordings


def test_a_wording_of_another_is_shown_before_it_is_replaced(client_, admin_user):
    page = opened(client_, WORDING)
    wording.save(key="estimate", subject="Theirs", body="Their text", by=admin_user, seen=None)
    response = client_.post(WORDING, {**page, "subject": "Mine"})
    assert "Somebody saved “Theirs” here since you opened this page" in text_of(response)
    assert wording.text_of("estimate") == ("Theirs", "Their text")
    assert client_.post(WORDING, response.context["form"].data.dict()).status_code == 302
    assert wording.text_of("estimate") == ("Mine", "Their text")


def test_a_draft_of_a_wording_says_what_was_saved_since(client_, admin_user):
    page = opened(client_, WORDING)
    client_.post("/drafts/keep/", {**page, "subject": "Mine", "path": WORDING})
    wording.save(key="estimate", subject="Theirs", body="Their text", by=admin_user, seen=None)
    assert "Subject: the file says “Theirs” by now" in text_of(client_.get(WORDING))


def test_two_wordings_in_the_same_moment_are_one(admin_user):
    seen = wording.save(key="estimate", subject="One", body="Text", by=admin_user, seen=None)
    wording.save(key="estimate", subject="Two", body="Text", by=admin_user, seen=seen)
    for late in (None, seen):
        with pytest.raises(loaded.Meanwhile):
            wording.save(key="estimate", subject="Three", body="Text", by=admin_user, seen=late)
    assert MessageText.objects.count() == 2


# the price book


def carried(client, **changed):
    page = client.get(PRICES)
    named = {name: page.context[of].pk for name, of in (("begun_from", "before"), ("newest", "newest"))}
    return {**typed(client), **named, **changed}


def test_an_edition_kept_meanwhile_is_shown_before_it_is_replaced(client_):
    today = {"valid_from": "2026-01-01", "valid_to": "2027-12-31"}
    mine = carried(client_, edition="mine", **today, **{"lines-0-high_aud": "9000"})
    theirs = carried(client_, edition="theirs", **today, bookings_expected="1.7", **{"lines-1-DELETE": "on"})
    assert client_.post(PRICES, theirs).status_code == 302
    response = client_.post(PRICES, mine)
    said = text_of(response)
    assert "kept “theirs”" in said
    assert "Bookings until a test is driven: was 1.3, is 1.7" in said
    assert "is no such line" in said
    assert 'value="9000"' in said and "“mine”" not in said
    assert prices.in_force().edition == "theirs"
    again = {**mine, "newest": PriceBookEdition.objects.first().pk}
    assert f'name="newest" value="{again["newest"]}"' in said
    assert client_.post(PRICES, again).status_code == 302
    assert prices.in_force().edition == "mine"


@pytest.mark.parametrize("nonsense", ["", "x", "-1", "9" * 40, "٣", "\x00", "999999"])
def test_nonsense_in_place_of_an_edition_is_no_mistake(client_, nonsense):
    sent = carried(client_, begun_from=nonsense, newest=nonsense)
    assert client_.post(PRICES, sent).status_code == 302
