"""After a noted change of ownership: who is told, who is not, and by whose name it is found."""

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from certificates import after_issue, importing, lines, search
from certificates.check import verify_chain
from certificates.models import ImportedCertificate
from jobs.refused import Refused
from tests.factories import UserFactory


def hand_on(subject, engineer, name="Nora Newlin", **details):
    on = details.pop("on", subject.issued_on)
    return after_issue.note_transfer(subject=subject, by=engineer, new_owner=name, on=on, evidence="Papers", **details)


def test_without_a_contact_nobody_is_written_to_and_the_page_says_whom_to_ring(plain, engineer, as_):
    hand_on(plain, engineer)
    told = after_issue.withdraw(subject=plain, by=engineer, reason="Bad welds.")
    assert told == "to be told by telephone or letter: Nora Newlin"
    assert not plain.job.messages.filter(kind="certificate").exists()
    assert f"The owner is {told}." in as_(engineer).get(plain.get_absolute_url()).content.decode()


def test_with_a_contact_the_new_owner_alone_is_told(plain, engineer, as_):
    event = hand_on(plain, engineer, email="nora@example.com", phone="0400 000 000")
    page = as_(engineer).get(plain.get_absolute_url()).content.decode()
    assert "nora@example.com" in page and "0400 000 000" in page
    # Sealed is who and when; how to reach them can be erased.
    assert "nora" not in str(event.record).replace("Nora Newlin", "")
    assert after_issue.withdraw(subject=plain, by=engineer, reason="Bad welds.") == "told by e-mail: Nora Newlin"
    message = plain.job.messages.get(kind="certificate")
    assert message.to == "nora@example.com"
    assert "owner's page" not in message.body
    assert list(verify_chain()) == []


def test_the_later_change_counts_and_a_correction_follows_it(plain, engineer):
    hand_on(plain, engineer, "Second", email="second@example.com")
    new = after_issue.correct(certificate=plain, by=engineer, changes={"plate": "NEW01"}, reason="Typed wrong")
    assert plain.job.messages.get(kind="certificate").to == "second@example.com"
    after_issue.withdraw(subject=new, by=engineer, reason="Bad welds.")
    assert {message.to for message in plain.job.messages.filter(kind="certificate")} == {"second@example.com"}


def test_it_is_found_by_the_new_owner_and_by_the_former_one(plain, engineer):
    hand_on(plain, engineer, "Zebedee Newman")
    for name in ("Zebedee", "newman", plain.owner_name):
        assert [line.number for line in search.page({"owner": name}).lines] == [plain.number]
    assert [line.number for line in search.page({"q": "zebedee"}).lines] == [plain.number]
    assert list(verify_chain()) == []


@pytest.mark.parametrize("days", [-1, 1, -100_000])
def test_a_day_before_the_issue_or_ahead_is_refused(plain, engineer, as_, days):
    on = plain.issued_on + timedelta(days=days)
    with pytest.raises(Refused, match="the day of issue, to today"):
        hand_on(plain, engineer, on=on)
    said = {"new_owner": "Nora", "on": f"{on:%Y-%m-%d}".zfill(10), "evidence": "Papers"}
    page = as_(engineer).post(reverse("certificates:transfer", args=[plain.number]), said).content.decode()
    assert "lies before the certificate was issued; allowed is" in page or "lies ahead" in page
    assert not plain.events.exists()


@pytest.mark.parametrize("act", ["withdraw", "supersede", "transfer"])
@pytest.mark.parametrize("where", ["here", "before"])
def test_without_authority_nothing_is_undone(plain, tmp_path, as_, act, where):
    nobody = UserFactory(roles=["engineer"])
    table = tmp_path / "old.csv"
    table.write_text(
        "number,issued_on,owner,plate,jurisdiction\nOLD/1,2011-02-03,Olive,OLD1,NSW\nOLD/2,2011-02-03,O,P2,\n"
    )
    list(importing.run(file=table, pdfs=None))
    subjects = [plain] if where == "here" else list(ImportedCertificate.objects.all())
    acts = {
        "withdraw": lambda one: after_issue.withdraw(subject=one, by=nobody, reason="x"),
        "supersede": lambda one: after_issue.supersede(certificate=one, by=nobody, successor=plain, reason="x"),
        "transfer": lambda one: after_issue.note_transfer(
            subject=one, by=nobody, new_owner="N", on=timezone.localdate(), evidence="x"
        ),
    }
    for subject in subjects:
        with pytest.raises(Refused, match="no authority"):
            acts[act](subject)
        assert lines.state_of(subject) == "valid"


def test_an_import_without_a_place_needs_any_authority(db, engineer, tmp_path):
    table = tmp_path / "old.csv"
    table.write_text("number,issued_on,owner,plate\nOLD/1,2011-02-03,Olive,OLD1\n")
    list(importing.run(file=table, pdfs=None))
    one = ImportedCertificate.objects.get()
    hand_on(one, engineer, on=date(2012, 1, 1))
    today = timezone.localdate()
    listed = UserFactory(roles=["engineer"])
    listed.authorities.create(jurisdiction="VIC", number="V1", valid_from=today, valid_to=today, added_by=engineer)
    after_issue.withdraw(subject=one, by=listed, reason="Forged")
    assert lines.state_of(ImportedCertificate.objects.get()) == "withdrawn"
