"""Settings of the workshop: each saving is a new row, and nothing unusable gets in."""

from datetime import date, timedelta
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from pypdf import PdfReader

from jobs import lines
from jobs.estimates import pdf, versions
from jobs.models import Authority, PriceBookEdition, Workshop
from jobs.workshop import prices, signatories
from tests.factories import UserFactory
from tests.owner_side import photo, workshop

pytestmark = pytest.mark.django_db

GOOD = {
    "name": "Quandong Engineering",
    "address": "Lot 7, Mulga Road, Saltbush NSW 2999",
    "phone": "02 5550 0100",
    "email": "desk@quandong.example",
    "abn": "51824753556",
    "web_address": "https://book.example",
    "terms": "Not a quote.",
    "estimate_days": "30",
    "link_days": "180",
    "retention_years": "7",
}


def save(client, **changed):
    return client.post("/workshop/", {**GOOD, **changed})


# details


def test_each_saving_is_a_new_row(as_, admin_user, job, desk):
    save(as_(admin_user))
    estimate = versions.write(job=job, by=desk)
    save(as_(admin_user), name="Another Name")
    assert Workshop.current().name == "Another Name"
    assert estimate.workshop.name == "Quandong Engineering"
    assert Workshop.objects.count() == 2


# Source: Australian Business Register, worked example 51 824 753 556; 11 223 493 504 fails the check sum.
def test_the_abn_is_checked_and_set_in_its_groups(as_, admin_user):
    page = save(as_(admin_user), abn="11223493504").content.decode()
    assert "the check sum does not agree" in page
    assert not Workshop.objects.exists()
    save(as_(admin_user))
    assert Workshop.current().abn == "51 824 753 556"


def test_at_first_our_own_terms_stand_in_the_form(as_, admin_user):
    assert "This is an estimate, not a quote." in as_(admin_user).get("/workshop/").content.decode()


def test_the_logo_is_checked_shown_and_printed(as_, admin_user, client, job, desk):
    logo = SimpleUploadedFile("logo.png", photo(kind="PNG").read(), content_type="image/png")
    save(as_(admin_user), new_logo=logo)
    client.logout()
    shown = client.get("/workshop-logo/")
    assert shown["Content-Type"] == "image/png"
    b"".join(shown)
    [page] = PdfReader(BytesIO(pdf.render(versions.write(job=job, by=desk)))).pages
    assert len(page.images) == 1


def test_the_logo_stays_until_it_is_taken_off(as_, admin_user):
    save(as_(admin_user), new_logo=SimpleUploadedFile("l.png", photo(kind="PNG").read()))
    save(as_(admin_user))
    assert Workshop.current().logo
    save(as_(admin_user), no_logo="on")
    assert not Workshop.current().logo


@pytest.mark.parametrize(
    "content",
    [b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>", b"<html>", b"%PDF-1.7", b"\x89PNG" + b"0" * 50],
)
def test_a_logo_that_is_no_picture_is_refused(as_, admin_user, content):
    page = save(as_(admin_user), new_logo=SimpleUploadedFile("logo.png", content, content_type="image/png"))
    assert "mend" in page.content.decode()
    assert not Workshop.objects.exists()


def test_without_a_logo_there_is_nothing_at_its_address(client):
    assert client.get("/workshop-logo/").status_code == 404


@pytest.mark.parametrize(
    "bad",
    [
        {"name": ""}, {"name": "x" * 121}, {"abn": ""}, {"abn": "1" * 31}, {"email": "nobody"}, {"name": "\x00"},
        {"web_address": "javascript:alert(1)"}, {"estimate_days": "0"}, {"estimate_days": "367"},
        {"link_days": "-5"}, {"link_days": "NaN"}, {"retention_years": "101"}, {"retention_years": "1e3"},
        {"terms": "x" * 8001},
    ],
)  # fmt: skip
def test_settings_that_cannot_be_used_say_why(as_, admin_user, bad):
    page = save(as_(admin_user), **bad)
    assert page.status_code == 200
    assert "mend" in page.content.decode()
    assert not Workshop.objects.exists()


# signatories


def add(client, signatory, **changed):
    facts = {
        "user": signatory.pk, "jurisdiction": "NSW", "number": "SIG-1",
        "valid_from": "2026-01-01", "valid_to": "2027-01-01",
    }  # fmt: skip
    return client.post("/workshop/signatories/", {**facts, **changed})


def authority(user, place="NSW", on=date(2026, 6, 1)):
    return signatories.authority_of(user, jurisdiction=place, on=on)


def test_an_authority_holds_for_its_place_and_days(as_, admin_user, engineer):
    assert authority(engineer) == "SIG-0042"
    add(as_(admin_user), engineer)
    assert authority(engineer) == "SIG-1"
    assert authority(engineer, place="QLD") == ""
    assert authority(engineer, on=date(2027, 1, 1)) == "SIG-1"
    assert authority(engineer, on=date(2027, 1, 2)) == ""


def test_two_for_the_same_day_contradict_each_other(as_, admin_user, engineer):
    add(as_(admin_user), engineer)
    page = add(as_(admin_user), engineer, number="SIG-2", valid_from="2027-01-01", valid_to="2028-01-01")
    assert "has number SIG-1 for NSW" in page.content.decode()
    add(as_(admin_user), engineer, number="SIG-2", valid_from="2027-01-02", valid_to="2028-01-01")
    assert Authority.objects.count() == 2


def test_an_authority_can_be_ended(as_, admin_user, engineer):
    add(as_(admin_user), engineer, valid_from="2020-01-01", valid_to="2035-01-01")
    as_(admin_user).post(f"/workshop/signatories/{Authority.objects.get().pk}/end/")
    assert Authority.objects.get().valid_to == timezone.localdate()
    assert (
        "over"
        not in as_(admin_user).get("/workshop/signatories/").content.decode().split("<table")[1].split("</table")[0]
    )


@pytest.mark.parametrize(
    "bad",
    [
        {"user": "999999"}, {"user": "x"}, {"jurisdiction": "NZ"}, {"number": ""}, {"number": "x" * 41},
        {"valid_from": "soon"}, {"valid_to": "2025-01-01"}, {"valid_to": "2099-01-01"}, {"number": "\x00"},
    ],
)  # fmt: skip
def test_an_authority_that_cannot_be_kept_says_why(as_, admin_user, engineer, bad):
    page = add(as_(admin_user), engineer, **bad)
    assert page.status_code == 200
    assert "mend" in page.content.decode()
    assert not Authority.objects.exists()


def test_only_people_who_may_sign_are_offered(as_, admin_user, engineer, desk):
    UserFactory(first_name="Idle", roles=["driver"])
    page = as_(admin_user).get("/workshop/signatories/").content.decode()
    offered = page.split('name="user"')[1].split("</select>")[0]
    assert engineer.full_name in offered
    assert desk.full_name not in offered
    assert "Idle" not in offered


# price book


def typed(client, **changed):
    """What the page holds, as a browser would send it."""
    page = client.get("/workshop/prices/new/")
    form, lines = page.context["form"], page.context["lines"]
    data = {name: form[name].value() for name in form.fields}
    data |= {f"lines-{key}": lines.management_form[key].value() for key in lines.management_form.fields}
    for row in lines:
        data |= {row.add_prefix(name): row[name].value() for name in row.fields}
    data = {key: "" if value is None or value is False else value for key, value in data.items()}
    return {**data, "edition": "workshop 2027-01", "valid_from": "2027-01-01", "valid_to": "2027-12-31", **changed}


def write(client, **changed):
    return client.post("/workshop/prices/new/", typed(client, **changed))


def test_a_new_edition_starts_from_the_last_and_changes_only_what_was_typed(as_, admin_user):
    before = PriceBookEdition.objects.get()
    write(as_(admin_user), **{"lines-0-likely_aud": "610"})
    after = PriceBookEdition.objects.first()
    assert after.edition == "workshop 2027-01"
    assert after.data["lines"][0]["likely_aud"] == "610"
    assert float(after.data["insurance"]["share_likely"]) == float(before.data["insurance"]["share_likely"])
    assert [line["key"] for line in after.data["lines"]] == [line["key"] for line in before.data["lines"]]
    assert after.data["checked_by"] == admin_user.full_name
    assert str(before.edition) in as_(admin_user).get("/workshop/prices/").content.decode()
    assert "610" in as_(admin_user).get(f"/workshop/prices/{after.pk}/").content.decode()


def test_a_line_can_be_added_and_left_out(as_, admin_user):
    rows = len(PriceBookEdition.objects.get().data["lines"])
    new = {
        "label": "Scales",
        "needed_for": "always",
        "low_aud": "50",
        "likely_aud": "55",
        "high_aud": "60",
        "again": "0",
    }
    write(as_(admin_user), **{f"lines-{rows}-{name}": value for name, value in new.items()}, **{"lines-0-DELETE": "on"})
    labels = [line["label"] for line in PriceBookEdition.objects.first().data["lines"]]
    assert labels[-1] == "Scales"
    assert len(labels) == rows


def test_an_estimate_keeps_the_edition_it_was_made_from(as_, admin_user, desk, job):
    workshop()
    estimate = versions.write(job=job, by=desk)
    today = timezone.localdate()
    write(
        as_(admin_user), valid_from=str(today), valid_to=str(today + timedelta(days=9)), **{"lines-0-high_aud": "9000"}
    )
    assert prices.in_force().edition == "workshop 2027-01"
    estimate.refresh_from_db()
    assert estimate.price_book.edition != "workshop 2027-01"
    assert versions.write(job=job, by=desk, because="New prices").price_book.edition == "workshop 2027-01"


@pytest.mark.parametrize(
    "bad",
    [
        {"edition": ""}, {"edition": "workshop 2026-11"}, {"valid_to": "2026-12-31"}, {"valid_from": "x"},
        {"bookings_expected": "0.5"}, {"bookings_expected": "NaN"}, {"share_low": "90"}, {"share_high": "101"},
        {"minimum_aud": "-1"}, {"retest_share": "1e9"}, {"lines-0-low_aud": "9999"}, {"lines-0-label": ""},
        {"lines-0-again": "Infinity"}, {"lines-0-needed_for": "never"}, {"lines-0-key": "<b>"},
        {"lines-TOTAL_FORMS": "x"}, {"lines-TOTAL_FORMS": "0"}, {"lines-TOTAL_FORMS": "99999"}, {"edition": "\x00"},
    ],
)  # fmt: skip
def test_an_edition_that_cannot_be_used_says_why(as_, admin_user, bad):
    page = write(as_(admin_user), **bad)
    assert page.status_code == 200
    assert "mend" in page.content.decode()
    assert PriceBookEdition.objects.count() == 1


# days before a job is late


def test_the_days_of_a_step_come_from_the_settings(as_, admin_user, job):
    before = lines.of(job).due_at
    save(as_(admin_user), days_booking="4", days_triage="")
    assert Workshop.current().step_days == {"booking": 4}
    line = lines.of(job)
    assert line.because == "Book in may take 4 days"
    assert line.due_at - before == timedelta(days=3)
    assert 'value="4"' in as_(admin_user).get("/workshop/").content.decode()


@pytest.mark.parametrize("days", ["0", "-1", "367", "NaN", "1e9", "two", "1.5", "9" * 60])
def test_days_that_cannot_be_used_say_why_and_nothing_is_lost(as_, admin_user, days):
    response = save(as_(admin_user), days_triage=days)
    assert response.status_code == 200
    assert "Triage" in response.content.decode()
    assert f'value="{days}"' in response.content.decode()
    assert not Workshop.objects.exists()


def test_an_edition_reads_in_words_and_per_cent(as_, admin_user):
    edition = prices.in_force()
    page = as_(admin_user).get(f"/workshop/prices/{edition.pk}/").content.decode()
    for said in ("0.65 % low, 0.75 % likely, 0.78 % high of the market value", "60 % of what a test day costs"):
        assert said in page
    for said in ("lane-change test", "either of the two", "every job", ">25 %<", "at least $200.00"):
        assert said in page
    assert "lane_change" not in page
