"""A key on a PKCS#11 token signs as one in a file does: made with SoftHSM, verified by OpenSSL."""

import pytest
from django.core.files.storage import default_storage
from django.urls import reverse

from certificates import papers
from certificates.check import verify_chain
from certificates.models import Certificate
from certificates.services import issue
from certificates.signing import keys
from config.bootstrap import softhsm
from jobs.models import AuditEntry, Counter
from jobs.refused import Refused
from tests.certificates import software_token as token
from tests.certificates.test_signing import openssl, parts
from tests.certificates_factories import untested_job


@pytest.fixture(scope="module")
def card(tmp_path_factory):
    """The PEM of the certificate on a token that lies in this test's own folder."""
    return token.make(tmp_path_factory.mktemp("token"))


@pytest.fixture
def names(engineer, card):
    """Names the token and the label of the key as the engineer's own."""

    def write(*, called=token.LABEL, label=token.KEY):
        keys.folder().mkdir(parents=True, exist_ok=True)
        described = f'module = "{softhsm.module()}"\ntoken = "{called}"\nlabel = "{label}"\n'
        (keys.folder() / f"{engineer.username}.toml").write_text(described)

    write()
    return write


def test_what_the_token_signed_openssl_verifies_and_nobody_hears_the_pin(engineer, names, card, as_, caplog, tmp_path):
    caplog.set_level("DEBUG")
    job = untested_job(engineer)
    data = {"declared": "on", "password": token.PIN}
    page = as_(engineer).post(reverse("certificates:issue", args=[job.number]), data, follow=True).content.decode()
    issued = Certificate.objects.get()
    told = issued.record["signing_key"]
    printed = openssl("x509", "-noout", "-fingerprint", "-sha256", "-in", card).stdout
    assert printed.rpartition("=")[2].strip().replace(":", "").lower() == told["sha256"]
    assert told["subject"] == "Key on a card of Edda Engineer"
    for kind in papers.KINDS:
        value, covered, whole = parts(papers.read(issued, kind))
        assert whole
        (tmp_path / "signature").write_bytes(bytes(value["/Contents"]).rstrip(b"\0"))
        (tmp_path / "covered").write_bytes(covered)
        said = openssl(
            *("cms", "-verify", "-binary", "-inform", "DER", "-in", tmp_path / "signature"),
            *("-content", tmp_path / "covered", "-CAfile", card, "-purpose", "any", "-out", tmp_path / "out"),
        )
        assert said.returncode == 0, said.stderr
    assert list(verify_chain()) == []
    trail = str(list(AuditEntry.objects.values_list("what", "details")))
    for written in (page, caplog.text, trail, str(issued.record)):
        assert token.PIN not in written


@pytest.mark.parametrize(
    ("pin", "described", "why"),
    [
        ("000000", {}, "The token does not open: the PIN is wrong."),
        ("", {}, "passphrase or PIN is needed"),
        (token.PIN, {"called": "Left at home"}, "no token “Left at home” is there; connect it"),
        (token.PIN, {"label": "other"}, "The token holds no key and certificate “other”."),
    ],
    ids=["wrong PIN", "no PIN", "no such token", "no such key"],
)
def test_a_token_that_does_not_sign_takes_no_number_and_leaves_nothing(engineer, names, caplog, pin, described, why):
    caplog.set_level("DEBUG")
    names(**described)
    job = untested_job(engineer)
    with pytest.raises(Refused) as refused:
        issue(job=job, by=engineer, secret=pin)
    assert why in str(refused.value)
    assert not pin or pin not in str(refused.value) + caplog.text
    assert not Certificate.objects.exists()
    assert not Counter.objects.filter(name__startswith="certificate").exists()
    assert not default_storage.exists("certificates") or default_storage.listdir("certificates")[1] == []
    # The same token signs at once when all is right: no session was left open.
    names()
    assert issue(job=job, by=engineer, secret=token.PIN).number.endswith("-0001")


def test_a_token_that_fails_at_the_second_paper_leaves_nothing(engineer, names, monkeypatch):
    from pyhanko.sign.pkcs11 import PKCS11Signer

    job, signed, sign = untested_job(engineer), [], PKCS11Signer.async_sign_raw

    async def pulled_out(self, *args, **options):
        if signed:
            raise RuntimeError("DeviceRemoved")
        signed.append(await sign(self, *args, **options))
        return signed[-1]

    monkeypatch.setattr(PKCS11Signer, "async_sign_raw", pulled_out)
    with pytest.raises(Refused, match="The key did not sign: RuntimeError DeviceRemoved"):
        issue(job=job, by=engineer, secret=token.PIN)
    assert len(signed) == 1
    assert not Certificate.objects.exists()
    assert not Counter.objects.filter(name__startswith="certificate").exists()
    assert not default_storage.exists("certificates") or default_storage.listdir("certificates")[1] == []
