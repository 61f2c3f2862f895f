"""A time-stamping authority on this machine, with a certificate that says it may stamp."""

import threading
from contextlib import contextmanager
from datetime import timedelta
from http.server import BaseHTTPRequestHandler, HTTPServer

from asn1crypto import keys, tsp
from asn1crypto import x509 as read_x509
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import rsa
from django.utils import timezone
from pyhanko.sign.timestamps import DummyTimeStamper


def _authority():
    key = rsa.generate_private_key(public_exponent=65537, key_size=2048)
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "Stamps of the tests")])
    now = timezone.now()
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=10))
        .add_extension(x509.ExtendedKeyUsage([x509.ExtendedKeyUsageOID.TIME_STAMPING]), critical=True)
        .sign(key, hashes.SHA256())
    )
    return key, certificate


@contextmanager
def serving(*, answer=None):
    """Address and certificate (PEM) of an authority that stamps, or that answers with these bytes instead."""
    key, certificate = _authority()
    plain = key.private_bytes(
        serialization.Encoding.DER, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    der = certificate.public_bytes(serialization.Encoding.DER)
    stamper = DummyTimeStamper(read_x509.Certificate.load(der), keys.PrivateKeyInfo.load(plain))

    class Desk(BaseHTTPRequestHandler):
        def do_POST(self):
            asked = tsp.TimeStampReq.load(self.rfile.read(int(self.headers["Content-Length"])))
            said = answer if answer is not None else stamper.request_tsa_response(asked).dump()
            self.send_response(200)
            self.send_header("Content-Type", "application/timestamp-reply")
            self.send_header("Content-Length", str(len(said)))
            self.end_headers()
            self.wfile.write(said)

        def log_message(self, *args):
            """The tests say nothing."""

    with HTTPServer(("127.0.0.1", 0), Desk) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        try:
            yield f"http://127.0.0.1:{server.server_port}/", certificate.public_bytes(serialization.Encoding.PEM)
        finally:
            server.shutdown()
