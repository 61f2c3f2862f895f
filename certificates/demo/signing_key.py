"""A signing key for the demo, made on the spot and marked as what it is."""

from datetime import timedelta

from django.utils import timezone

from certificates.signing import keys

MARK = "DEMO KEY, no signatory"


def make(person, *, secret):
    """Put a self-made key for this person into the folder of the keys, unless one lies there already."""
    if keys.has_key(person):
        return
    path = keys.folder() / f"{person.username}.p12"
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    path.touch(mode=0o600)
    path.write_bytes(self_made(f"{MARK}: {person.full_name}", secret=secret))


def self_made(common_name, *, secret):
    """A key and a certificate that vouches for itself, as PKCS#12."""
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes, serialization
    from cryptography.hazmat.primitives.asymmetric import rsa
    from cryptography.hazmat.primitives.serialization import pkcs12

    key = rsa.generate_private_key(public_exponent=65537, key_size=2048)
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, common_name)])
    now = timezone.now()
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        # The story of the demo begins days ago.
        .not_valid_before(now - timedelta(days=60))
        .not_valid_after(now + timedelta(days=3650))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_signs_documents(), critical=True)
        .sign(key, hashes.SHA256())
    )
    locked = serialization.BestAvailableEncryption(secret.encode())
    return pkcs12.serialize_key_and_certificates(common_name.encode(), key, certificate, None, locked)


def _signs_documents():
    from cryptography import x509

    others = ("key_encipherment", "data_encipherment", "key_agreement", "key_cert_sign", "crl_sign")
    never = dict.fromkeys((*others, "encipher_only", "decipher_only"), False)
    return x509.KeyUsage(digital_signature=True, content_commitment=True, **never)
