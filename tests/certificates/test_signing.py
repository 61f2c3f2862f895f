"""The signature in the PDF, verified by tools that did not make it: OpenSSL over bytes cut out with pypdf."""

import shutil
import subprocess
from datetime import timedelta
from io import BytesIO

import pytest
from django.core.files.storage import default_storage
from django.urls import reverse
from pypdf import PdfReader

from certificates import papers
from certificates.check import verify_chain
from certificates.demo import signing_key
from certificates.models import Certificate
from certificates.services import issue
from certificates.signing import keys, pades
from jobs.models import Counter
from jobs.refused import Refused
from tests.certificates_factories import untested_job

SECRET = "open, sesame 1"


@pytest.fixture
def key(engineer):
    signing_key.make(engineer, secret=SECRET)
    return keys.path_of(engineer)


@pytest.fixture
def signed(engineer, key):
    return issue(job=untested_job(engineer), by=engineer, secret=SECRET)


def openssl(*arguments, **options):
    tool = shutil.which("openssl")
    assert tool, "these tests verify signatures with OpenSSL; install the package openssl"
    return subprocess.run([tool, *map(str, arguments)], capture_output=True, text=True, **options)


def parts(content):
    """The signature of a PDF, the bytes it covers, and whether it covers the whole file but itself."""
    value = PdfReader(BytesIO(content)).get_fields()[pades.FIELD]["/V"].get_object()
    start, length, again, rest = value["/ByteRange"]
    whole = start == 0 and again + rest == len(content)
    return value, content[:length] + content[again : again + rest], whole


def verified(content, key, tmp_path):
    """What OpenSSL says of the signature, trusting only the certificate that lies in the key file."""
    value, covered, whole = parts(content)
    assert whole
    (tmp_path / "signature").write_bytes(bytes(value["/Contents"]).rstrip(b"\0"))
    (tmp_path / "covered").write_bytes(covered)
    pem = openssl("pkcs12", "-in", key, "-nokeys", "-passin", f"pass:{SECRET}").stdout
    (tmp_path / "trusted.pem").write_text(pem)
    return openssl(
        *("cms", "-verify", "-binary", "-inform", "DER", "-in", tmp_path / "signature"),
        *("-content", tmp_path / "covered", "-CAfile", tmp_path / "trusted.pem", "-purpose", "any"),
        *("-out", tmp_path / "out"),
    )


@pytest.mark.parametrize("kind", papers.KINDS, ids=lambda kind: kind.key)
def test_openssl_verifies_both_papers(signed, key, kind, tmp_path):
    said = verified(papers.read(signed, kind), key, tmp_path)
    assert said.returncode == 0, said.stderr
    assert "successful" in said.stderr


def test_openssl_finds_one_changed_byte(signed, key, tmp_path):
    _, covered, _ = parts(papers.read(signed, papers.CERTIFICATE))
    forged = bytearray(covered)
    forged[1000] ^= 1
    assert verified(papers.read(signed, papers.CERTIFICATE), key, tmp_path).returncode == 0
    (tmp_path / "covered").write_bytes(forged)
    again = openssl(
        *("cms", "-verify", "-binary", "-inform", "DER", "-in", tmp_path / "signature"),
        *("-content", tmp_path / "covered", "-CAfile", tmp_path / "trusted.pem", "-out", tmp_path / "out"),
    )
    assert again.returncode != 0


def test_it_is_pades_and_certifies_that_nothing_may_change(signed):
    value, _, _ = parts(papers.read(signed, papers.CERTIFICATE))
    # ETSI EN 319 142-1, 5.4.1: the value of SubFilter of a PAdES signature.
    assert value["/SubFilter"] == "/ETSI.CAdES.detached"
    (reference,) = value["/Reference"]
    # ISO 32000-1, table 254: 1 allows no change at all.
    assert reference.get_object()["/TransformParams"]["/P"] == 1


def test_record_and_paper_say_whose_key_it_was_and_that_nobody_vouches_for_it(signed, key):
    told = signed.record["signing_key"]
    assert told["subject"].startswith("DEMO KEY, no signatory")
    assert told["self_made"] is True
    pem = openssl("pkcs12", "-in", key, "-nokeys", "-passin", f"pass:{SECRET}").stdout
    printed = openssl("x509", "-noout", "-fingerprint", "-sha256", input=pem).stdout
    assert printed.rpartition("=")[2].strip().replace(":", "").lower() == told["sha256"]
    text = " ".join(PdfReader(BytesIO(papers.read(signed, papers.CERTIFICATE))).pages[0].extract_text().split())
    assert "a self-made key that no authority vouches for" in text
    assert "carries no cryptographic signature" not in text
    assert list(verify_chain()) == []


def test_the_signed_file_is_still_archivable_and_carries_its_data(signed):
    reader = PdfReader(BytesIO(papers.read(signed, papers.REPORT)))
    assert 'pdfaid:part="3"' in reader.root_object["/Metadata"].get_data().decode()
    assert list(reader.attachments) == ["record.json"]


@pytest.mark.parametrize(
    ("secret", "why"),
    [("", "passphrase or PIN is needed"), ("wrong", "the passphrase is wrong")],
    ids=["none", "wrong"],
)
def test_a_key_that_does_not_open_stops_everything(engineer, key, secret, why, caplog):
    job = untested_job(engineer)
    with pytest.raises(Refused, match=why):
        issue(job=job, by=engineer, secret=secret)
    # A slip of the finger is no fault of the house: nothing alarms whoever reads the log.
    assert caplog.text == ""
    assert not Certificate.objects.exists()
    assert not Counter.objects.filter(name__startswith="certificate").exists()
    assert not default_storage.exists("certificates") or default_storage.listdir("certificates")[1] == []


def test_a_key_past_its_term_signs_nothing(engineer, key, settings, monkeypatch):
    later = signing_key.timezone.now() + timedelta(days=4000)
    job = untested_job(engineer)
    monkeypatch.setattr("certificates.sealing.timezone.now", lambda: later)
    with pytest.raises(Refused, match="today is outside"):
        issue(job=job, by=engineer, secret=SECRET)
    assert not Certificate.objects.exists()


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("module = 1\n", "needs module, token and label"),
        ("not toml", "describes no token"),
        ('module = "/none.so"\ntoken = "t"\nlabel = "l"\n', "token"),
    ],
    ids=["incomplete", "garbage", "no such module"],
)
def test_a_token_that_is_described_wrongly_is_refused_in_words(engineer, text, why):
    keys.folder().mkdir(parents=True)
    (keys.folder() / f"{engineer.username}.toml").write_text(text)
    with pytest.raises(Refused, match=why), keys.unlock(engineer, "1234"):
        pass


def test_a_file_that_is_no_key_is_refused_in_words(engineer):
    keys.folder().mkdir(parents=True)
    (keys.folder() / f"{engineer.username}.p12").write_bytes(b"no key")
    with pytest.raises(Refused, match="no PKCS#12 file"), keys.unlock(engineer, "1234"):
        pass


def test_a_username_cannot_lead_out_of_the_folder(engineer):
    signing_key.make(engineer, secret=SECRET)
    engineer.username = f"../{keys.folder().name}/{engineer.username}"
    assert keys.path_of(engineer).parent == keys.folder()


def test_the_page_asks_for_the_passphrase_only_where_there_is_a_key_and_keeps_none_of_it(engineer, as_):
    job = untested_job(engineer)
    url = reverse("certificates:issue", args=[job.number])
    without = as_(engineer).get(url).content.decode()
    assert 'name="password"' not in without
    assert "carries no cryptographic signature" in without
    signing_key.make(engineer, secret=SECRET)
    assert 'name="password"' in as_(engineer).get(url).content.decode()
    wrong = as_(engineer).post(url, {"declared": "on", "password": "not-this-one"})
    assert "the passphrase is wrong" in wrong.content.decode()
    assert "not-this-one" not in wrong.content.decode() + as_(engineer).get(url).content.decode()
    assert as_(engineer).post(url, {"declared": "on", "password": SECRET}).status_code == 302
    assert Certificate.objects.get().record["signing_key"]


def test_a_key_lies_where_only_the_house_reads_it(key):
    assert key.stat().st_mode & 0o077 == 0
    assert key.parent.stat().st_mode & 0o077 == 0
