"""A later certificate takes the place of an earlier one, never the other way round, and of past ones too."""

import threading

import pytest
from django.db import connection, connections
from django.urls import reverse

from certificates import after_issue, importing, lines
from certificates.check import verify_chain
from certificates.models import Certificate, ImportedCertificate
from certificates.services import issue
from jobs.refused import Refused
from tests.certificates_factories import at_stage, sign_triage, state, untested_job
from tests.factories import JobFactory

SMALL = [("suspension_lift", {"front_mm": 20.0, "rear_mm": 20.0})]


def again(certificate, engineer):
    """The certificate of the same vehicle, presented again."""
    job = JobFactory(modifications=SMALL, vehicle__vin=certificate.vin)
    sign_triage(job, engineer)
    state(job, engineer)
    return issue(job=at_stage(job, "certification"), by=engineer)


def supersede(old, successor, engineer):
    after_issue.supersede(certificate=old, by=engineer, successor=successor, reason="Presented again")


def test_an_earlier_certificate_takes_no_place(plain, engineer):
    later = again(plain, engineer)
    with pytest.raises(Refused, match="was issued before"):
        supersede(later, plain, engineer)
    supersede(plain, later, engineer)
    assert (lines.state_of(plain), lines.state_of(later)) == ("superseded", "valid")


@pytest.mark.django_db(transaction=True)
def test_what_is_withdrawn_at_this_moment_takes_no_place(plain_papers, engineer, monkeypatch):
    # SQLite lets one write at a time anyway.
    engine_waits = connection.vendor == "postgresql"
    old = issue(job=untested_job(engineer), by=engineer)
    later = again(old, engineer)
    asked, said = threading.Event(), []
    real = after_issue._supersede

    def slow(*args, **details):
        asked.set()
        if engine_waits:
            withdrawing.join(timeout=1)
            assert withdrawing.is_alive(), "the withdrawal did not wait for the lock of its job"
        return real(*args, **details)

    def withdraw():
        asked.wait(5)
        try:
            after_issue.withdraw(subject=later, by=engineer, reason="x")
        except Exception as error:
            said.append(error)
        finally:
            connections.close_all()

    monkeypatch.setattr(after_issue, "_supersede", slow)
    withdrawing = threading.Thread(target=withdraw)
    withdrawing.start()
    supersede(old, later, engineer)
    withdrawing.join()
    assert said == []
    assert [event.kind for event in old.events.all()] == ["superseded"]
    assert [event.kind for event in later.events.all()] == ["withdrawn"]
    assert list(verify_chain()) == []


@pytest.fixture
def past(plain, tmp_path):
    """Past certificates of the vehicle of `plain`, of another, and one that knows the plate alone."""
    table = tmp_path / "old.csv"
    table.write_text(
        "number,issued_on,owner,plate,vin,jurisdiction\n"
        f"OLD/1,2011-02-03,Olive,X1,{plain.vin},NSW\nOLD/2,2011-02-03,Olive,X2,6T1OTHER0A0000017,NSW\n"
        f"OLD/3,2011-02-03,Olive,{plain.plate},,NSW\n"
    )
    list(importing.run(file=table, pdfs=None))
    return list(ImportedCertificate.objects.order_by("number"))


def test_a_past_certificate_is_superseded_by_one_of_this_register(plain, past, engineer, as_):
    client = as_(engineer)
    at = reverse("certificates:supersede_imported", args=[past[0].pk])
    assert at in client.get(past[0].get_absolute_url()).content.decode()
    done = client.post(at, {"successor": plain.number, "reason": "Presented again"})
    assert done.url == past[0].get_absolute_url()
    page = client.get(done.url).content.decode()
    assert "Superseded." in page and plain.number in page and at not in page
    past[0].line.refresh_from_db()
    assert past[0].line.state == "superseded"
    supersede(past[2], plain, engineer)
    for one, why in ((past[1], "another vehicle"), (past[0], "superseded already")):
        with pytest.raises(Refused, match=why):
            supersede(one, plain, engineer)
    other = reverse("certificates:supersede_imported", args=[past[1].pk])
    refused = client.post(other, {"successor": "NONE", "reason": "x"})
    assert "is no number of the register" in refused.content.decode()
    assert list(verify_chain()) == []
    assert Certificate.objects.count() == 1


def test_the_page_that_corrects_does_not_open_over_what_no_longer_stands(plain, engineer, as_):
    after_issue.withdraw(subject=plain, by=engineer, reason="x")
    answer = as_(engineer).get(reverse("certificates:correct", args=[plain.number]), follow=True)
    assert answer.redirect_chain[-1][0] == plain.get_absolute_url()
    assert "is withdrawn already; it cannot be corrected" in answer.content.decode()
