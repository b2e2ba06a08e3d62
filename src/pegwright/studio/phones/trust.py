"""Certificates for phones in the maker's own network, so that the page at the loom can be kept.

A browser lets a page be installed, work with the network off and hold the screen on only where it
came over an encrypted line whose certificate the device trusts.  No authority on the web vouches
for an address in somebody's living room, so the studio vouches for itself, and a phone is told once
to trust that.  Three certificates (X.509, RFC 5280) make the chain:

* the **root** is what a phone is told to trust.  Its key signs one certificate and is then thrown
  away, never written anywhere, so that nobody can sign with it again;
* the **issuer** is that certificate.  Its key stays on this computer, in a file that only its owner
  may read.  A constraint that every client must obey (RFC 5280, section 4.2.1.10, critical) lets it
  vouch for addresses of private networks only, and for no name at all: whoever stole the key could
  not pass for any site on the web;
* the **leaf** is for one address.  It is made anew each time that phones are let in, with a new key
  that is not kept.
"""

from __future__ import annotations

import ipaddress
import ssl
import tempfile
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from pegwright.errors import NotPossible, PegwrightError
from pegwright.library.records import Clock, utc_now
from pegwright.studio.phones.private_file import write_private

if TYPE_CHECKING:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey

__all__ = [
    "PRIVATE_NETWORKS",
    "Issuer",
    "fingerprint",
    "kept_issuer",
    "new_issuer",
    "server_context",
]

PRIVATE_NETWORKS = ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16")
"""Networks of a house or a club (RFC 1918), and those without anyone who gives out addresses
(RFC 3927)."""

_CONSTRAINED_TO = (*PRIVATE_NETWORKS, "127.0.0.0/8")
_NO_NAME = "invalid"
"""The one name that is allowed: it is kept free for ever, so no computer has it (RFC 6761)."""

ISSUER_LASTS = timedelta(days=3650)
RENEWED_BEFORE = timedelta(days=90)
LEAF_LASTS = timedelta(days=90)
_CLOCKS_DIFFER = timedelta(days=1)
"""A phone's clock may be behind."""

_MOST_FILE_BYTES = 100_000


@dataclass(frozen=True, slots=True)
class Issuer:
    """What the studio vouches with.

    :param root: the certificate that phones are told to trust.
    """

    root: x509.Certificate
    certificate: x509.Certificate
    key: EllipticCurvePrivateKey

    @property
    def root_der(self) -> bytes:
        """The root as the file that a phone takes in (DER)."""
        from cryptography.hazmat.primitives.serialization import Encoding

        return self.root.public_bytes(Encoding.DER)

    def lasts(self, now: datetime) -> bool:
        """Whether it is good for some time still."""
        return now < self.certificate.not_valid_after_utc - RENEWED_BEFORE

    def leaf(self, address: str, now: datetime) -> tuple[bytes, bytes]:
        """A certificate for an address, with the issuer's after it, and its key, both as PEM."""
        from cryptography import x509
        from cryptography.hazmat.primitives import hashes
        from cryptography.hazmat.primitives.asymmetric import ec
        from cryptography.hazmat.primitives.serialization import (
            Encoding,
            NoEncryption,
            PrivateFormat,
        )

        key = ec.generate_private_key(ec.SECP256R1())
        made = (
            _begun(f"Pegwright at {address}", self.certificate.subject, now, LEAF_LASTS)
            .public_key(key.public_key())
            .add_extension(_basic(None), critical=True)
            .add_extension(_usage(signs=False), critical=True)
            .add_extension(_for_servers(), critical=False)
            .add_extension(
                x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address(address))]),
                critical=False,
            )
            .add_extension(
                x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False
            )
            .add_extension(_signed_with(self.certificate), critical=False)
            .sign(self.key, hashes.SHA256())
        )
        chain = made.public_bytes(Encoding.PEM) + self.certificate.public_bytes(Encoding.PEM)
        secret = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
        return chain, secret


def new_issuer(now: datetime) -> Issuer:
    """A fresh root and issuer; the root's key is gone when this returns."""
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec

    root_key = ec.generate_private_key(ec.SECP256R1())
    key = ec.generate_private_key(ec.SECP256R1())
    title = f"Pegwright studio, {now:%Y-%m-%d %H:%M}"
    bounds = x509.NameConstraints(
        permitted_subtrees=[
            *(x509.IPAddress(ipaddress.ip_network(network)) for network in _CONSTRAINED_TO),
            x509.DNSName(_NO_NAME),
        ],
        excluded_subtrees=None,
    )

    def signing(
        name: str, issuer: x509.Name, public: ec.EllipticCurvePublicKey, below: int
    ) -> x509.CertificateBuilder:
        return (
            _begun(name, issuer, now, ISSUER_LASTS)
            .public_key(public)
            .add_extension(_basic(below), critical=True)
            .add_extension(_usage(signs=True), critical=True)
            .add_extension(bounds, critical=True)
            .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
        )

    root = signing(title, _named(title), root_key.public_key(), 1).sign(root_key, hashes.SHA256())
    certificate = (
        signing(f"{title}, issuer", root.subject, key.public_key(), 0)
        .add_extension(_for_servers(), critical=False)
        .add_extension(_signed_with(root), critical=False)
        .sign(root_key, hashes.SHA256())
    )
    return Issuer(root, certificate, key)


def kept_issuer(path: Path, clock: Clock = utc_now, *, anew: bool = False) -> Issuer:
    """The issuer that is kept in a file; made where there is none, or it is nearly out of date.

    :param anew: make another, whatever there is; phones must then be told to trust that one.
    :raises PegwrightError: where the file cannot be read or written, leaving it as it is.
    """
    now = clock()
    if path.exists() and not anew:
        known = _read(path)
        if known.lasts(now):
            return known
    made = new_issuer(now)
    _write(path, made)
    return made


def fingerprint(der: bytes) -> str:
    """The SHA-256 of a certificate as phones and browsers show it: pairs of letters and figures."""
    import hashlib

    return hashlib.sha256(der).digest().hex(" ").upper()


def server_context(issuer: Issuer, address: str, now: datetime) -> ssl.SSLContext:
    """What a listener on an address answers encrypted with."""
    chain, secret = issuer.leaf(address, now)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    with tempfile.TemporaryDirectory(prefix="pegwright-") as folder:  # only its owner may look in
        file = Path(folder) / "leaf.pem"
        write_private(file, chain + secret)
        context.load_cert_chain(file)
    return context


# --- the file ------------------------------------------------------------------------------------


def _read(path: Path) -> Issuer:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    try:
        with path.open("rb") as file:
            data = file.read(_MOST_FILE_BYTES)
        certificate, root = x509.load_pem_x509_certificates(data)
        key = load_pem_private_key(data, None)
        if not isinstance(key, ec.EllipticCurvePrivateKey):
            raise ValueError
        if key.public_key() != certificate.public_key():
            raise ValueError
        certificate.verify_directly_issued_by(root)
    except (OSError, ValueError, TypeError):
        raise NotPossible(
            "the certificate that phones trust cannot be read",
            given=str(path),
            hint="move that file away; a new one is then made, and phones must trust that one",
        ) from None
    return Issuer(root, certificate, key)


def _write(path: Path, issuer: Issuer) -> None:
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    secret = issuer.key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    certificates = (issuer.certificate, issuer.root)
    try:
        write_private(path, secret + b"".join(c.public_bytes(Encoding.PEM) for c in certificates))
    except OSError as problem:
        raise PegwrightError(
            "the certificate for phones cannot be kept",
            given=problem.strerror,
            hint="see whether the folder of your library can be written to",
        ) from None


# --- parts of certificates -----------------------------------------------------------------------


def _begun(
    name: str, issuer: x509.Name, now: datetime, lasts: timedelta
) -> x509.CertificateBuilder:
    from cryptography import x509

    return (
        x509.CertificateBuilder()
        .subject_name(_named(name))
        .issuer_name(issuer)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now.astimezone(UTC) - _CLOCKS_DIFFER)
        .not_valid_after(now.astimezone(UTC) + lasts)
    )


def _named(name: str) -> x509.Name:
    from cryptography import x509
    from cryptography.x509.oid import NameOID

    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])


def _basic(below: int | None) -> x509.BasicConstraints:
    """Whether it may sign others, and how many may stand between those and a leaf."""
    from cryptography import x509

    return x509.BasicConstraints(ca=below is not None, path_length=below)


def _usage(*, signs: bool) -> x509.KeyUsage:
    from cryptography import x509

    return x509.KeyUsage(
        digital_signature=not signs,
        key_cert_sign=signs,
        crl_sign=signs,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _for_servers() -> x509.ExtendedKeyUsage:
    from cryptography import x509
    from cryptography.x509.oid import ExtendedKeyUsageOID

    return x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH])


def _signed_with(issuer: x509.Certificate) -> x509.AuthorityKeyIdentifier:
    from cryptography import x509

    held = issuer.extensions.get_extension_for_class(x509.SubjectKeyIdentifier)
    return x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(held.value)
