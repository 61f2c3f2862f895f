"""A software token in a folder of its own, with a key and its self-made certificate on it."""

import os
import shutil
import subprocess

from config.bootstrap import softhsm

LABEL, KEY, PIN = "Edda's card", "signing", "471147"


def run(*arguments):
    tool = shutil.which(arguments[0])
    assert tool, f"these tests need {arguments[0]}"
    return subprocess.run([tool, *map(str, arguments[1:])], check=True, capture_output=True, text=True)


def make(folder):
    """The token, ready for the module to be loaded in this process. Returns the PEM of its certificate."""
    (folder / "tokens").mkdir()
    (folder / "softhsm2.conf").write_text(f"directories.tokendir = {folder / 'tokens'}\nlog.level = ERROR\n")
    # The module reads it once, when it is loaded; no other test loads it.
    os.environ["SOFTHSM2_CONF"] = str(folder / "softhsm2.conf")
    run(softhsm.TOOL, "--init-token", "--free", "--label", LABEL, "--pin", PIN, "--so-pin", "08150815")
    key, pem = folder / "key.pem", folder / "certificate.pem"
    name = "/CN=Key on a card of Edda Engineer"
    run("openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-subj", name, "-keyout", key, "-out", pem)
    on_token = ("--token", LABEL, "--label", KEY, "--id", "01", "--pin", PIN)
    run(softhsm.TOOL, "--import", key, *on_token)
    _put_certificate(pem)
    key.unlink()
    return pem


def _put_certificate(pem):
    import pkcs11
    from cryptography import x509
    from cryptography.hazmat.primitives.serialization import Encoding
    from pkcs11.util.x509 import decode_x509_certificate

    der = x509.load_pem_x509_certificate(pem.read_bytes()).public_bytes(Encoding.DER)
    token = pkcs11.lib(str(softhsm.module())).get_token(token_label=LABEL)
    with token.open(user_pin=PIN, rw=True) as session:
        described = {pkcs11.Attribute.LABEL: KEY, pkcs11.Attribute.ID: b"\x01", pkcs11.Attribute.TOKEN: True}
        session.create_object(decode_x509_certificate(der) | described)
