"""What may still happen to a certificate: corrected, superseded, withdrawn, handed on. Never edited."""

import uuid

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from certificates import after_issue, lines
from certificates.check import verify_chain
from certificates.models import Certificate, Event
from certificates.services import issue, standing
from jobs.append_only import Immutable
from jobs.refused import Refused
from tests.certificates_factories import ready_job, untested_job
from tests.factories import UserFactory


def url(name, certificate):
    return reverse(f"certificates:{name}", args=[certificate.number])


def correct(old, by, **changes):
    return after_issue.correct(certificate=old, by=by, changes=changes, reason="Typed wrong at the counter")


def form_of(certificate, **changes):
    vehicle = certificate.record["vehicle"]
    names = ("make", "model", "built_year", "vin", "plate", "plate_state")
    return {"owner_name": certificate.owner_name, **{name: vehicle[name] for name in names}, **changes}


def test_a_correction_has_its_own_number_and_seal_and_says_what_it_corrects(engineer):
    old = issue(job=ready_job(engineer), by=engineer)
    before = Certificate.objects.filter(pk=old.pk).values().get()
    new = correct(old, engineer, plate="NEW01", owner_name="Olive Orchard")
    assert new.number == old.number.replace("-0001", "-0002")
    assert new.record["corrections"] == [
        {"title": "Owner's name", "was": old.owner_name, "is": "Olive Orchard"},
        {"title": "Plate", "was": old.plate, "is": "NEW01"},
    ]
    assert (new.replaces, new.record["replaces"]) == (old, old.number)
    # What was tested and decided is what was sealed before, word for word.
    for part in ("triage", "test_days", "rules", "outcome", "documents", "modifications"):
        assert new.record[part] == old.record[part]
    assert Certificate.objects.filter(pk=old.pk).values().get() == before
    assert standing(old.job) == new
    assert (lines.state_of(old), lines.state_of(new)) == ("superseded", "valid")
    assert list(verify_chain()) == []


def test_a_certificate_is_corrected_once_and_then_its_successor_is(plain, engineer):
    second = correct(plain, engineer, plate="NEW01")
    with pytest.raises(Refused, match="is superseded already"):
        correct(plain, engineer, plate="NEW02")
    third = correct(second, engineer, plate="NEW02")
    assert [c.number[-4:] for c in Certificate.objects.order_by("position")] == ["0001", "0002", "0003"]
    assert third.record["corrections"] == [{"title": "Plate", "was": "NEW01", "is": "NEW02"}]
    assert list(verify_chain()) == []


@pytest.mark.parametrize("replaces", ["nothing", "the first"])
def test_the_database_knows_one_standing_certificate_of_a_job(plain, engineer, replaces):
    if replaces == "the first":
        correct(plain, engineer, plate="NEW01")
    row = Certificate.objects.filter(pk=plain.pk).values().get()
    row |= {"id": None, "number": "X-2026-0009", "position": 99, "seal": "1" * 64, "previous_seal": "2" * 64}
    row |= {"check_code": None, "replaces_id": plain.pk if replaces == "the first" else None}
    with pytest.raises(IntegrityError), transaction.atomic():
        Certificate.objects.create(**row)


def test_a_withdrawal_tells_the_owner_and_the_register(plain, engineer):
    told = after_issue.withdraw(subject=plain, by=engineer, reason="The kit was recalled.")
    assert told == "told by e-mail"
    message = plain.job.messages.get(kind="certificate")
    assert message.to == plain.job.owner.email
    assert plain.number in message.subject
    assert "The kit was recalled." in message.body
    plain.line.refresh_from_db()
    assert plain.line.state == "withdrawn"
    assert plain.job.audit_entries.filter(what=f"Certificate withdrawn: {plain.number}").exists()
    with pytest.raises(Refused, match="withdrawn already"):
        after_issue.withdraw(subject=plain, by=engineer, reason="Again")
    with pytest.raises(Refused, match="is withdrawn already"):
        correct(plain, engineer, plate="NEW01")
    assert list(verify_chain()) == []


def test_an_owner_without_an_address_is_to_be_rung(plain, engineer):
    plain.job.owner.email = ""
    plain.job.owner.save()
    told = after_issue.withdraw(subject=plain, by=engineer, reason="Recalled.")
    assert "telephone" in told
    assert Event.objects.get().record["told"] == told


def test_the_certificate_of_a_later_job_takes_the_place(plain, engineer):
    later = issue(job=_same_vehicle(plain, engineer), by=engineer)
    after_issue.supersede(certificate=plain, by=engineer, successor=later, reason="Presented again")
    assert lines.state_of(plain) == "superseded"
    event = plain.events.get()
    assert event.record["successor"] == {"number": later.number, "seal": later.seal}
    assert list(verify_chain()) == []


def _same_vehicle(certificate, engineer):
    job = untested_job(engineer)
    job.vehicle.vin = certificate.vin
    job.vehicle.save()
    from tests.certificates_factories import at_stage, sign_triage

    sign_triage(at_stage(job, "triage"), engineer)
    return at_stage(job, "certification")


def test_a_certificate_of_another_vehicle_takes_no_place(plain, engineer):
    other = issue(job=untested_job(engineer), by=engineer)
    with pytest.raises(Refused, match="another vehicle"):
        after_issue.supersede(certificate=plain, by=engineer, successor=other, reason="Wrong")
    with pytest.raises(Refused, match="its own place"):
        after_issue.supersede(certificate=plain, by=engineer, successor=plain, reason="Wrong")
    assert not Event.objects.exists()


def test_events_are_written_once(plain, engineer):
    after_issue.withdraw(subject=plain, by=engineer, reason="Recalled.")
    event = Event.objects.get()
    for act in (event.save, event.delete, lambda: Event.objects.update(kind="finding")):
        with pytest.raises(Immutable):
            act()


def test_what_was_issued_is_handed_out_unchanged_for_good(plain, engineer, auditor, as_):
    from certificates import papers

    before = papers.read(plain, papers.CERTIFICATE)
    correct(plain, engineer, plate="NEW01")
    assert as_(auditor).get(url("certificate_pdf", plain)).content == before


def test_the_owner_sees_which_one_stands(plain, engineer):
    from certificates import papers

    new = correct(plain, engineer, plate="NEW01")
    titles = [paper.title for paper in papers.for_owner(plain.job)]
    assert titles == [
        f"Certificate {new.number}",
        f"Report {new.number}",
        f"Superseded: Certificate {plain.number}",
        f"Superseded: Report {plain.number}",
    ]
    assert len({paper.key for paper in papers.for_owner(plain.job)}) == 4


def test_pages_correct(plain, engineer, as_):
    client = as_(engineer)
    page = client.get(url("correct", plain)).content.decode()
    assert plain.vin in page
    same = client.post(url("correct", plain), form_of(plain, declared="on", reason="None"))
    assert "there is nothing to correct" in same.content.decode()
    bad = client.post(url("correct", plain), form_of(plain, vin="SHORT", declared="on", reason="Typed wrong"))
    assert "A VIN has 17 characters" in bad.content.decode()
    assert 'value="SHORT"' in bad.content.decode()
    undeclared = client.post(url("correct", plain), form_of(plain, plate="NEW01", reason="Typed wrong"))
    assert "Tick the declaration" in undeclared.content.decode()
    done = client.post(url("correct", plain), form_of(plain, plate="new-01", declared="on", reason="Typed wrong"))
    new = Certificate.objects.get(replaces=plain)
    assert done.url == new.get_absolute_url()
    assert new.plate == "NEW01"
    old_page = client.get(plain.get_absolute_url()).content.decode()
    assert "Superseded." in old_page
    assert new.number in old_page
    assert url("correct", plain) not in old_page


@pytest.mark.parametrize("number", ["", "NONE-2026-0001", "x" * 61, "a\0b"])
def test_pages_supersede_with_a_number_that_is_none(plain, engineer, as_, number):
    response = as_(engineer).post(url("supersede", plain), {"successor": number, "reason": "Presented again"})
    assert response.status_code == 200
    assert "Please mend" in response.content.decode()


def test_pages_withdraw_and_transfer(plain, engineer, as_):
    client = as_(engineer)
    refused = client.post(url("withdraw", plain), {"reason": "Recalled."})
    assert "cannot be undone" in refused.content.decode()
    assert not Event.objects.exists()
    ahead = {"new_owner": "Nora", "on": "2999-01-01", "evidence": "Papers"}
    assert "lies ahead" in client.post(url("transfer", plain), ahead).content.decode()
    day = f"{timezone.localdate()}"
    said = {"new_owner": "Nora Newlin", "on": day, "evidence": "Papers", "sent_as": uuid.uuid4()}
    handed = client.post(url("transfer", plain), said)
    assert handed.status_code == 302
    done = client.post(url("withdraw", plain), {"reason": "Recalled.", "understood": "on"}, follow=True)
    page = done.content.decode()
    assert "The owner is to be told by telephone or letter: Nora Newlin." in page
    for told in ("Withdrawn.", "Recalled.", "Nora Newlin", "Papers"):
        assert told in page
    assert [event.kind for event in plain.events.all()] == ["transferred", "withdrawn"]
    assert list(verify_chain()) == []


def test_nobody_corrects_without_an_authority_number(plain):
    nobody = UserFactory(roles=["engineer"])
    with pytest.raises(Refused, match="no authority number"):
        correct(plain, nobody, plate="NEW01")


@pytest.mark.parametrize("name", ["correct", "supersede", "withdraw", "transfer"])
@pytest.mark.parametrize("who", ["desk", "auditor", "admin_user", "driver_user"])
def test_only_engineers_act(request, plain, as_, name, who):
    assert as_(request.getfixturevalue(who)).get(url(name, plain)).status_code == 403
