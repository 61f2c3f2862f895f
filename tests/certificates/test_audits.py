"""Audits: samples that anybody can draw again, findings, follow-up."""

import hashlib
import uuid

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.urls import reverse

from certificates import audits, importing
from certificates.check import verify_chain
from certificates.models import Audit, Event, RegisterLine
from certificates.services import issue
from jobs.refused import Refused
from tests.certificates_factories import untested_job

DRAW = reverse("certificates:draw")


@pytest.fixture
def five(engineer, plain_papers):
    return [issue(job=untested_job(engineer), by=engineer) for _ in range(5)]


def test_the_sample_can_be_drawn_again_by_hand(five, auditor):
    audit = audits.draw(by=auditor, criteria={}, size=2)
    sampled = {event.certificate.number for event in audit.events.all()}

    # As the page of the audit tells it: SHA-256 of seed:number, the smallest are drawn.
    def rank(number):
        return hashlib.sha256(f"{audit.seed}:{number}".encode()).hexdigest()

    assert sampled == set(sorted((c.number for c in five), key=rank)[:2])
    assert (audit.population, audit.size) == (5, 2)
    assert list(verify_chain()) == []


def test_every_certificate_is_as_likely_as_any_other():
    drawn = [0] * 20
    lines = [(place, f"N-{place}") for place in range(20)]
    for seed in range(2000):
        for place in audits.drawn(lines, seed=f"{seed:032x}", size=5):
            drawn[place] += 1
    # 2,000 draws of 5 out of 20: 500 each, standard deviation sqrt(2000 × 1/4 × 3/4) = 19.4; five of them.
    assert all(abs(count - 500) < 97 for count in drawn)


def test_a_sample_is_no_larger_than_what_there_is(five, auditor):
    assert audits.draw(by=auditor, criteria={}, size=50).size == 5
    with pytest.raises(Refused):
        audits.draw(by=auditor, criteria={"plate": "NONE"}, size=1)


def test_a_finding_stays_open_until_a_follow_up_settles_it(plain, auditor, engineer):
    finding = audits.find_fault(subject=plain, by=auditor, text="A page is faint.", grade="minor")
    assert list(audits.open_findings()) == [finding]
    audits.follow_up(finding=finding, by=engineer, text="Looking for it.", closes=False)
    assert list(audits.open_findings()) == [finding]
    audits.follow_up(finding=finding, by=auditor, text="Printed anew.", closes=True)
    assert list(audits.open_findings()) == []
    assert list(verify_chain()) == []


def test_pages_from_search_to_settled_finding(five, auditor, engineer, as_):
    client = as_(auditor)
    page = client.get(reverse("certificates:register"), {"q": five[0].number}).content.decode()
    assert f"{DRAW}?q={five[0].number}" in page
    drawn = client.post(f"{DRAW}?q={five[0].number}", {"size": "3"})
    audit = Audit.objects.get()
    assert drawn.url == reverse("certificates:audit", args=[audit.number])
    shown = client.get(drawn.url).content.decode()
    assert five[0].number in shown
    assert audit.seed in shown
    found = client.post(
        reverse("certificates:finding", args=[five[0].number]) + f"?audit={audit.number}",
        {"grade": "major", "text": "Wind of run 3 is missing.", "sent_as": uuid.uuid4()},
    )
    assert found.url == drawn.url
    overview = client.get(reverse("certificates:audits")).content.decode()
    assert "Wind of run 3 is missing." in overview
    assert "7 years, counted from the last of the days on which it was closed" in overview
    finding = Event.objects.get(kind="finding")
    assert finding.audit == audit
    url = reverse("certificates:follow_up", args=[finding.position])
    said = {"text": "It stands in the log.", "closes": "on", "sent_as": uuid.uuid4()}
    assert as_(engineer).post(url, said).status_code == 302
    assert not Event.objects.get(kind="follow_up").record["closes"]
    settled = as_(auditor).post(url, {**said, "sent_as": uuid.uuid4()})
    assert settled.status_code == 302
    after = as_(auditor).get(url).content.decode()
    assert "settled" in after
    assert "<form" not in after.partition("<main")[2]
    assert "Wind of run 3" not in as_(auditor).get(reverse("certificates:audits")).content.decode()


@pytest.mark.parametrize("size", ["", "0", "-1", "201", "1.5", "x", "9" * 30])
def test_a_size_that_is_none_draws_nothing(five, auditor, as_, size):
    response = as_(auditor).post(DRAW, {"size": size})
    assert response.status_code == 200
    assert "Please mend" in response.content.decode()
    assert not Audit.objects.exists()


def test_an_unusable_search_leads_back_to_the_register(auditor, as_):
    assert as_(auditor).get(DRAW, {"from": "never"}).url == reverse("certificates:register")


@pytest.mark.parametrize(
    "data", [{}, {"grade": "odd", "text": "x"}, {"grade": "minor", "text": "x" * 2001}], ids=["none", "odd", "long"]
)
def test_a_bad_finding_is_not_recorded_and_not_lost(plain, auditor, as_, data):
    response = as_(auditor).post(reverse("certificates:finding", args=[plain.number]), data)
    assert "Please mend" in response.content.decode()
    assert not Event.objects.exists()


def test_the_auditor_reads_everything_and_changes_nothing_but_audits(plain, auditor, as_):
    client = as_(auditor)
    for name in ("register", "audits", "head"):
        assert client.get(reverse(f"certificates:{name}")).status_code == 200
    for name in ("certificate", "whole_file", "certificate_pdf", "report_pdf", "evidence_pack"):
        response = client.get(reverse(f"certificates:{name}", args=[plain.number]))
        assert (response.status_code, bool(b"".join(response))) == (200, True)
    for name in ("correct", "supersede", "withdraw", "transfer"):
        assert client.post(reverse(f"certificates:{name}", args=[plain.number])).status_code == 403
    for name in ("owner", "vehicle", "photos"):
        assert client.post(reverse(f"jobs:{name}", args=[plain.job.number])).status_code == 403


def test_the_whole_file_tells_who_did_what(plain, auditor, engineer, as_):
    audits.find_fault(subject=plain, by=auditor, text="A page is faint.", grade="minor")
    page = as_(auditor).get(reverse("certificates:whole_file", args=[plain.number])).content.decode()
    for told in ("Certificate issued", engineer.full_name, "A page is faint.", plain.vin, "Falls under this section"):
        assert told in page
    story = page[page.index("Who did what") :]
    assert story.index("Certificate issued") < story.index("A page is faint.")


def test_what_is_brought_in_later_changes_no_sample_that_was_drawn(five, auditor, tmp_path):
    audit = audits.draw(by=auditor, criteria={}, size=2)
    sampled = [event.subject.number for event in audit.events.order_by("position")]
    assert audits.drawn_again(audit) == sampled
    assert (audit.certificates_up_to, audit.events_up_to) == (5, 0)
    table = tmp_path / "old.csv"
    table.write_text("number,issued_on,owner,plate\n" + "".join(f"OLD{n},2011-02-03,O,P{n}\n" for n in range(20)))
    list(importing.run(file=table, pdfs=None))
    assert RegisterLine.objects.count() == 25
    assert audits.drawn_again(audit) == sampled
    # The kept list is the one whose hash every event of the draw sealed.
    sealed = audit.events.first().record["drawn"]["numbers_sha256"]
    assert hashlib.sha256(audits.numbers_of(audit)).hexdigest() == sealed
    assert list(verify_chain()) == []


@pytest.mark.parametrize("became", [b"SIG-0042-2026-0001\n", None])
def test_a_list_that_was_changed_or_is_gone_is_found(five, auditor, became):
    audit = audits.draw(by=auditor, criteria={}, size=2)
    default_storage.delete(audit.numbers.name)
    if became:
        default_storage.save(audit.numbers.name, ContentFile(became))
    (problem,) = verify_chain()
    assert "the list that it was drawn from is missing or is another one" in str(problem)


def test_a_draw_that_fails_leaves_no_list_behind(five, auditor, monkeypatch):
    monkeypatch.setattr(audits.event_chain, "write", None)
    with pytest.raises(TypeError):
        audits.draw(by=auditor, criteria={}, size=2)
    assert not Audit.objects.exists()
    assert default_storage.listdir("audits")[1] == []
