"""The seal against the standard library and against a command line that anybody has."""

import hashlib
import subprocess

from certificates.canonical import canonical
from certificates.seal import FIRST_PREDECESSOR, seal_of

RECORD = {"number": "C2026-0001", "vehicle": {"gvm_kg": 2950.0, "plate": "TST001"}, "owner": {"name": "Ångström"}}


def test_the_first_predecessor_is_sixty_four_zeros():
    assert FIRST_PREDECESSOR == "0" * 64


def test_the_seal_is_a_sha256_over_the_previous_seal_and_the_record():
    written = '{"number":"C2026-0001","owner":{"name":"Ångström"},"vehicle":{"gvm_kg":2950,"plate":"TST001"}}'
    expected = hashlib.sha256(("0" * 64 + "\n" + written).encode()).hexdigest()
    assert seal_of(RECORD, FIRST_PREDECESSOR) == expected


def test_the_seal_can_be_computed_with_sha256sum(tmp_path):
    (tmp_path / "entry").write_bytes(FIRST_PREDECESSOR.encode() + b"\n" + canonical(RECORD))
    printed = subprocess.run(["sha256sum", tmp_path / "entry"], capture_output=True, check=True, text=True).stdout
    assert printed.split()[0] == seal_of(RECORD, FIRST_PREDECESSOR)


def test_another_predecessor_gives_another_seal():
    assert seal_of(RECORD, "1" * 64) != seal_of(RECORD, FIRST_PREDECESSOR)
