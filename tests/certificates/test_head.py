"""The head of the register, kept outside and compared later."""

import io

import pytest
from django.core import mail
from django.core.management import CommandError, call_command
from django.urls import reverse

from certificates import after_issue, head
from certificates.services import issue
from tests.certificates_factories import untested_job


def test_the_head_is_printed_filed_and_mailed_alike(plain, tmp_path):
    out, file = io.StringIO(), tmp_path / "head"
    call_command("register_head", file=file, mail=["notary@example.com"], stdout=out)
    assert f"certificates 1 {plain.seal}" in out.getvalue()
    assert f"events 0 {head.NOTHING}" in file.read_text()
    assert mail.outbox[0].body == file.read_text()
    assert mail.outbox[0].to == ["notary@example.com"]


def test_a_head_holds_while_the_register_grows(plain, engineer, tmp_path):
    file = tmp_path / "head"
    file.write_text(head.as_text())
    issue(job=untested_job(engineer), by=engineer)
    after_issue.withdraw(subject=plain, by=engineer, reason="Recalled")
    out = io.StringIO()
    call_command("register_check", against=file, stdout=out)
    assert "every seal holds" in out.getvalue()


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (
            "certificates 9 " + "a" * 64 + "\nevents 0 " + "0" * 64,
            "entry 9 was there when the head was kept",
        ),
        ("certificates 1 " + "a" * 64 + "\nevents 0 " + "0" * 64, "entry 1 has another seal"),
        ("nothing of the kind", "this is no head of a register"),
    ],
    ids=["cut off", "rewritten", "no head"],
)
def test_a_register_that_was_rewritten_whole_is_found(plain, tmp_path, text, why):
    file, out = tmp_path / "head", io.StringIO()
    file.write_text(text)
    with pytest.raises(CommandError):
        call_command("register_check", against=file, stdout=out)
    assert why in out.getvalue()


def test_pages_show_it_for_printing(plain, auditor, as_):
    page = as_(auditor).get(reverse("certificates:head")).content.decode()
    assert f"certificates 1 {plain.seal}" in page


def test_files_that_no_certificate_owns_are_named_and_are_no_fault(plain):
    from django.core.files.base import ContentFile
    from django.core.files.storage import default_storage

    stray = default_storage.save("certificates/SIG-0042-2026-0002-report-x.pdf", ContentFile(b"%PDF"))
    out = io.StringIO()
    call_command("register_check", stdout=out)
    assert f"{stray} belongs to no certificate" in out.getvalue()
