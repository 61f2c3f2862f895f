"""The signatory's own key: a PKCS#12 file, or a PKCS#11 token named by a small settings file.

Keys lie in the folder that JOBBOOK_SIGNING_KEYS names (by default `signing-keys` beside the data):
`USERNAME.p12`, or `USERNAME.toml` with `module`, `token` and `label` of a token. What unlocks the
key is typed at each signature and never stored.
"""

import os
import tomllib
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings

from jobs.refused import Refused

_CAUSES = {
    "PinIncorrect": "the PIN is wrong",
    "PinInvalid": "the PIN holds signs that the token does not take",
    "PinLenRange": "the PIN is shorter or longer than the token takes",
    "PinLocked": "the PIN is locked after too many wrong ones",
    "PinExpired": "the PIN has expired",
    "TokenNotPresent": "no token is in its reader",
    "TokenNotRecognised": "the token in the reader is not one that the module knows",
}


def folder():
    return Path(os.environ.get("JOBBOOK_SIGNING_KEYS") or Path(settings.MEDIA_ROOT).parent / "signing-keys")


def path_of(person):
    """The file that describes the person's key, or None: then certificates are sealed and not signed."""
    name = Path(person.username).name
    candidates = (folder() / f"{name}{suffix}" for suffix in (".p12", ".toml"))
    return next((path for path in candidates if path.is_file()), None)


def has_key(person):
    return path_of(person) is not None


@contextmanager
def unlock(person, secret):
    """A pyHanko signer with the person's key, or None without one. Raises Refused."""
    path = path_of(person)
    if path is None:
        yield None
        return
    if not secret:
        raise Refused(f"{person.full_name} has a signing key: its passphrase or PIN is needed to sign.")
    if path.suffix == ".p12":
        yield _from_file(path, secret)
        return
    session, label = _token(path, secret)
    try:
        yield _on_token(session, label)
    finally:
        # A token left open refuses the next signature.
        session.close()


def _from_file(path, secret):
    # Imported here: signing is rare, and the library is large.
    from pyhanko.sign.signers import SimpleSigner

    try:
        return SimpleSigner.load_pkcs12_data(path.read_bytes(), other_certs=[], passphrase=secret.encode())
    except ValueError as error:
        why = "the passphrase is wrong, or the file is no PKCS#12 file"
        raise Refused(f"The signing key does not open: {why}.") from error
    except OSError as error:
        raise Refused(f"The signing key cannot be read: {error.strerror}.") from error


def _token(path, secret):
    """An open session with the token that the file describes, and the label of the key on it."""
    try:
        described = tomllib.loads(path.read_text())
        module, token, label = (described[name] for name in ("module", "token", "label"))
    except (OSError, ValueError, KeyError) as error:
        raise Refused(f"{path.name} describes no token: {error}. It needs module, token and label.") from error
    try:
        from pyhanko.config.pkcs11 import TokenCriteria
        from pyhanko.sign.pkcs11 import open_pkcs11_session
    except ImportError as error:
        raise Refused("A key on a token needs the package python-pkcs11, which is not installed.") from error
    try:
        return open_pkcs11_session(module, token_criteria=TokenCriteria(label=token), user_pin=secret), label
    except Exception as error:
        raise Refused(f"The token does not open: {_in_words(error, token)}.") from error


def _in_words(error, token):
    # The library raises a class of its own for each of dozens of return codes of the token.
    kind = type(error).__name__
    if kind == "PKCS11Error" and str(error).startswith("No token"):
        return f"no token “{token}” is there; connect it, or have its name in the settings of the key mended"
    return _CAUSES.get(kind) or f"{kind} {error}".strip()


def _on_token(session, label):
    from pyhanko.sign.pkcs11 import PKCS11Signer

    signer = PKCS11Signer(session, cert_label=label, key_label=label, ca_chain=())
    try:
        _ = signer.signing_cert
    except Exception as error:
        raise Refused(f"The token holds no key and certificate “{label}”.") from error
    return signer
