"""The time stamp in the signature: asked for where the house names an authority, verified by OpenSSL."""

import pytest
from asn1crypto import cms

from certificates import papers
from certificates.demo import signing_key
from certificates.models import Certificate
from certificates.services import issue
from certificates.signing import keys
from jobs.refused import Refused
from tests.certificates import stamping
from tests.certificates.test_signing import SECRET, openssl, parts, verified
from tests.certificates_factories import untested_job


@pytest.fixture
def own_key(engineer):
    signing_key.make(engineer, secret=SECRET)
    return keys.path_of(engineer)


def stamp_of(content):
    """The token of the time stamp and the signature that it is over, or None."""
    value, _, _ = parts(content)
    signer = cms.ContentInfo.load(bytes(value["/Contents"]).rstrip(b"\0"))["content"]["signer_infos"][0]
    for attribute in signer["unsigned_attrs"]:
        if attribute["type"].native == "signature_time_stamp_token":
            return attribute["values"][0].dump(), signer["signature"].native
    return None


def test_without_an_authority_there_is_no_stamp(engineer, own_key):
    issued = issue(job=untested_job(engineer), by=engineer, secret=SECRET)
    assert stamp_of(papers.read(issued, papers.CERTIFICATE)) is None


@pytest.mark.parametrize("kind", papers.KINDS, ids=lambda kind: kind.key)
def test_both_papers_are_stamped_and_another_tool_verifies_stamp_and_signature(
    engineer,
    own_key,
    settings,
    tmp_path,
    kind,
):
    with stamping.serving() as (address, trusted):
        settings.TIME_STAMP_URL = address
        issued = issue(job=untested_job(engineer), by=engineer, secret=SECRET)
    content = papers.read(issued, kind)
    token, signature = stamp_of(content)
    for name, data in (("token", token), ("signature", signature), ("tsa.pem", trusted)):
        (tmp_path / name).write_bytes(data)
    ask = ("ts", "-verify", "-token_in", "-in", tmp_path / "token", "-CAfile", tmp_path / "tsa.pem")
    said = openssl(*ask, "-data", tmp_path / "signature")
    assert said.returncode == 0, said.stderr
    (tmp_path / "signature").write_bytes(signature + b" ")
    assert openssl(*ask, "-data", tmp_path / "signature").returncode != 0
    said = verified(content, own_key, tmp_path)
    assert said.returncode == 0, said.stderr


@pytest.mark.parametrize("trouble", ["nobody answers", "no stamp"])
def test_without_the_stamp_that_the_house_wants_nothing_is_issued(engineer, own_key, settings, trouble):
    settings.TIME_STAMP_TIMEOUT_S = 2
    with stamping.serving(answer=b"Come back tomorrow.") as (address, _):
        settings.TIME_STAMP_URL = address if trouble == "no stamp" else "http://127.0.0.1:9/"
        with pytest.raises(Refused, match=settings.TIME_STAMP_URL):
            issue(job=untested_job(engineer), by=engineer, secret=SECRET)
    assert not Certificate.objects.exists()
