"""A page that stayed open while somebody else saved: only what its person changed is written."""

import html
import json
import re

import pytest

from jobs import loaded, services
from jobs.forms import OwnerForm
from jobs.models import AuditEntry, Draft, Owner
from vehicles.forms import VehicleForm
from vehicles.models import Vehicle

pytestmark = pytest.mark.django_db


def opened(client, address):
    """What a browser would send of the page as it was loaded."""
    page = client.get(address).content.decode()
    sent = {}
    carried = json.loads(html.unescape(re.search(r'name="as_loaded" value="([^"]*)"', page)[1]))
    for name, texts in carried.items():
        if texts:
            sent[name] = texts if len(texts) > 1 else texts[0]
    return {**sent, "as_loaded": json.dumps(carried)}


def test_desk_changes_the_plate_and_keeps_the_masses_corrected_meanwhile(as_, desk, job):
    address = f"/jobs/{job.number}/vehicle/"
    page = opened(as_(desk), address)
    Vehicle.objects.filter(pk=job.vehicle_id).update(front_axle_kg=1190, rear_axle_kg=1020, empty_mass_kg=2210)
    assert as_(desk).post(address, {**page, "plate": "NEW123"}).status_code == 302
    job.vehicle.refresh_from_db()
    assert (job.vehicle.plate, job.vehicle.front_axle_kg, job.vehicle.empty_mass_kg) == ("NEW123", 1190, 2210)
    assert AuditEntry.objects.first().details["changed"].keys() == {"plate"}


def test_both_changed_one_field_and_both_values_are_shown(as_, desk, job):
    address = f"/jobs/{job.number}/vehicle/"
    page = opened(as_(desk), address)
    Vehicle.objects.filter(pk=job.vehicle_id).update(gvm_kg=3000, fuel="petrol")
    response = as_(desk).post(address, {**page, "gvm_kg": "3100", "fuel": "lpg", "plate": "NEW123"})
    text = html.unescape(response.content.decode())
    assert "Somebody saved “3000” here since you opened this page; before that it was “2950”. You typed “3100”" in text
    assert "Somebody saved “petrol” here" in text
    job.vehicle.refresh_from_db()
    assert (job.vehicle.gvm_kg, job.vehicle.plate) == (3000, "TST" + job.vehicle.plate[3:])
    assert 'value="NEW123"' in text
    assert "<dd>NEW123" not in text, "the heading shows what is stored"
    again = {**response.context["form"].data.dict()}
    assert as_(desk).post(address, again).status_code == 302
    job.vehicle.refresh_from_db()
    assert (job.vehicle.gvm_kg, job.vehicle.fuel, job.vehicle.plate) == (3100, "lpg", "NEW123")


def test_the_same_value_from_both_is_no_quarrel(as_, desk, job):
    address = f"/jobs/{job.number}/owner/"
    page = opened(as_(desk), address)
    Owner.objects.filter(pk=job.owner_id).update(phone="0491 570 999")
    assert as_(desk).post(address, {**page, "phone": "0491 570 999"}).status_code == 302


def test_nonsense_in_place_of_what_was_loaded_is_no_mistake(as_, desk, job):
    sent = {"name": "Olive", "phone": "0491 570 006", "email": ""}
    for text in ("", "[1]", "{", '{"phone": 7}', "null"):
        assert as_(desk).post(f"/jobs/{job.number}/owner/", {**sent, "as_loaded": text}).status_code == 302


def test_two_who_save_in_the_same_moment_lose_nothing(job, desk):
    stale = Owner.objects.get(pk=job.owner_id)
    form = OwnerForm({"name": stale.name, "phone": "0491 570 111", "email": stale.email}, instance=stale)
    assert form.is_valid()
    Owner.objects.filter(pk=job.owner_id).update(phone="0491 570 222")
    with pytest.raises(loaded.Meanwhile):
        services.save_owner(by=desk, job=job, form=form)


def test_a_save_in_the_same_moment_comes_again_with_what_was_typed(as_, desk, job, monkeypatch):
    def quicker(*, by, job, form):
        Vehicle.objects.filter(pk=job.vehicle_id).update(gvm_kg=3000)
        raise loaded.Meanwhile

    monkeypatch.setattr(services, "save_vehicle", quicker)
    address = f"/jobs/{job.number}/vehicle/"
    page = opened(as_(desk), address)
    response = as_(desk).post(address, {**page, "gvm_kg": "3100"}, follow=True)
    assert "at the same moment" in response.content.decode()
    assert response.context["form"].initial["gvm_kg"] == "3100"
    assert "the file says “3000” by now" in response.content.decode()


def test_a_kept_draft_gives_way_to_what_was_saved_since(as_, desk, job):
    address = f"/jobs/{job.number}/owner/"
    page = opened(as_(desk), address)
    as_(desk).post("/drafts/keep/", {**page, "phone": "0491 570 333", "path": address})
    Owner.objects.filter(pk=job.owner_id).update(email="new@example.com")
    response = as_(desk).get(address)
    form = response.context["form"]
    assert (form["email"].value(), form["phone"].value()) == ("new@example.com", "0491 570 333")
    assert "You typed this on" in response.content.decode()
    assert form.flags == []


def test_a_draft_and_the_file_that_both_changed_are_both_shown(as_, desk, job):
    address = f"/jobs/{job.number}/owner/"
    page = opened(as_(desk), address)
    as_(desk).post("/drafts/keep/", {**page, "email": "mine@example.com", "path": address})
    Owner.objects.filter(pk=job.owner_id).update(email="new@example.com")
    form = as_(desk).get(address).context["form"]
    assert form["email"].value() == "mine@example.com"
    assert form.flags == [
        f"E-mail: the file says “new@example.com” by now (it was “{job.owner.email}” then). Yours stands in the field."
    ]


def test_a_draft_from_before_pages_carried_anything_is_flagged(as_, desk, job):
    address = f"/jobs/{job.number}/owner/"
    Draft.objects.create(user=desk, path=address, values={"name": job.owner.name, "email": "old@example.com"})
    form = as_(desk).get(address).context["form"]
    assert form.flags == [f"E-mail: the file says “{job.owner.email}” by now. Yours stands in the field."]


def test_a_draft_that_repeats_the_file_is_none(as_, desk, job):
    address = f"/jobs/{job.number}/owner/"
    as_(desk).post("/drafts/keep/", {**opened(as_(desk), address), "path": address})
    Owner.objects.filter(pk=job.owner_id).update(email="new@example.com")
    response = as_(desk).get(address)
    assert "You typed this" not in response.content.decode()
    assert response.context["form"]["email"].value() == "new@example.com"


def test_what_a_page_carries_is_what_it_sends_untouched(job):
    form = VehicleForm(instance=job.vehicle, jurisdiction="NSW")
    carried = loaded.stored(form)
    assert (carried["gvm_kg"], carried["fuel_level"], carried["esc"], carried["vin"]) == (
        ["2950"], ["40"], ["true"], [job.vehicle.vin],
    )  # fmt: skip
