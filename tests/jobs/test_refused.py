"""A refused act says why, each reason by itself, and costs nobody what they typed."""

import pytest
from django import forms
from django.contrib.messages import get_messages
from django.contrib.messages.storage.cookie import CookieStorage

from jobs import drafts
from jobs.models import Draft
from jobs.refused import Refused
from jobs.views.shared import acted, saying_why

pytestmark = pytest.mark.django_db


class Signing(forms.Form):
    never_kept = drafts.never("pin")
    pin = forms.CharField()
    place = forms.CharField()


@pytest.fixture
def request_of(rf, desk):
    def made(method, typed):
        request = getattr(rf, method)("/x/", typed)
        request.user = desk
        request._messages = CookieStorage(request)
        return request

    return made


def refuse(said=None):
    raise Refused("The gate is locked.", "The key is lost.")


def told(request):
    return [(message.level_tag, message.message) for message in get_messages(request)]


BOTH = [("error", "The gate is locked."), ("error", "The key is lost.")]


def test_a_refused_form_is_kept_but_for_what_is_never_kept(request_of):
    request = request_of("post", {"pin": "4711", "place": "Saltbush"})
    assert acted(request, Signing(request.POST), refuse) is None
    assert told(request) == BOTH
    assert Draft.objects.get().values == {"place": "Saltbush"}


def test_at_its_form_a_refusal_stands_among_what_is_to_be_mended(request_of):
    request = request_of("post", {"pin": "4711", "place": "Saltbush"})
    form = Signing(request.POST)
    assert acted(request, form, refuse, at_form=True) is None
    assert form.non_field_errors() == [reason for _, reason in BOTH]
    assert told(request) == []
    assert Draft.objects.get().values == {"place": "Saltbush"}


@pytest.mark.parametrize(("method", "typed"), [("get", {"pin": "1", "place": "Saltbush"}), ("post", {"pin": "1"})])
def test_what_was_not_sent_or_does_not_hold_is_not_acted_on(request_of, method, typed):
    request = request_of(method, typed)
    assert acted(request, Signing(typed), refuse) is None
    assert told(request) == []


def test_what_the_act_gives_is_handed_on(request_of):
    request = request_of("post", {"pin": "4711", "place": "Saltbush"})
    assert acted(request, Signing(request.POST), lambda said: said["place"]) == "Saltbush"
    assert not Draft.objects.exists()


def test_a_button_that_is_refused_says_why_and_the_view_goes_on(request_of):
    request = request_of("post", {})
    with saying_why(request):
        refuse()
    assert told(request) == BOTH


def test_in_one_text_the_reasons_follow_each_other():
    with pytest.raises(Refused, match=r"^The gate is locked\. The key is lost\.$"):
        refuse()


def test_what_is_no_refusal_is_not_hidden(request_of):
    with pytest.raises(ZeroDivisionError), saying_why(request_of("post", {})):
        raise ZeroDivisionError
