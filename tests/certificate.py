"""A certificate of its own for a server under test."""

from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
)
from cryptography.x509.oid import NameOID


def make_certificate(folder: Path, name: str = "localhost") -> tuple[Path, Path]:
    """Write a self-signed certificate and its key; gives their paths."""
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])
    names = [x509.DNSName(name), x509.IPAddress(IPv4Address("127.0.0.1"))]
    at = datetime.now(UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - timedelta(hours=1))
        .not_valid_after(at + timedelta(days=2))
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .sign(key, hashes.SHA256())
    )
    certificate, private = folder / "cert.pem", folder / "key.pem"
    certificate.write_bytes(made.public_bytes(Encoding.PEM))
    private.write_bytes(key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
    return certificate, private
