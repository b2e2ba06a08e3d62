"""The certificate that phones trust: what it vouches for, and what it cannot.

Held against two implementations of RFC 5280 that are not ours: OpenSSL, which Python's ``ssl`` is
made of, and the path validation of the library ``cryptography``.
"""

from __future__ import annotations

import hashlib
import ipaddress
import ssl
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from pegwright.errors import NotPossible
from pegwright.studio.phones.trust import (
    ISSUER_LASTS,
    LEAF_LASTS,
    Issuer,
    fingerprint,
    kept_issuer,
    new_issuer,
    server_context,
)

NOW = datetime.now(UTC)
HOME = "192.168.7.7"


@pytest.fixture(scope="module")
def issuer() -> Issuer:
    return new_issuer(NOW)


def shaken(issuer: Issuer, server: ssl.SSLContext, wanted: str) -> str:
    """The version of TLS that a phone which trusts the root comes to with a server.

    :param wanted: the address or name that it asked for.
    """
    phone = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    phone.load_verify_locations(cadata=issuer.root.public_bytes(Encoding.PEM).decode())
    to_phone, to_server = ssl.MemoryBIO(), ssl.MemoryBIO()
    ours = server.wrap_bio(to_server, to_phone, server_side=True)
    theirs = phone.wrap_bio(to_phone, to_server, server_hostname=wanted)
    for _ in range(10):
        done = True
        for end in (theirs, ours):
            try:
                end.do_handshake()
            except ssl.SSLWantReadError:
                done = False
        if done:
            return str(theirs.version())
    raise AssertionError("the two did not come together")


def forged(issuer: Issuer, *names: x509.GeneralName, tmp_path: Path) -> ssl.SSLContext:
    """A server with a certificate that somebody made who had stolen the issuer's key."""
    key = ec.generate_private_key(ec.SECP256R1())
    made = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([]))
        .issuer_name(issuer.certificate.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(NOW - timedelta(days=1))
        .not_valid_after(NOW + timedelta(days=30))
        .add_extension(x509.SubjectAlternativeName(list(names)), critical=True)
        .sign(issuer.key, hashes.SHA256())
    )
    file = tmp_path / "forged.pem"
    file.write_bytes(
        key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
        + made.public_bytes(Encoding.PEM)
        + issuer.certificate.public_bytes(Encoding.PEM)
    )
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(file)
    return context


def ip(address: str) -> x509.IPAddress:
    return x509.IPAddress(ipaddress.ip_address(address))


@pytest.mark.parametrize("address", ["10.0.0.5", "172.16.4.4", HOME, "169.254.9.9", "127.0.0.1"])
def test_a_phone_that_trusts_the_root_comes_to_the_address(issuer: Issuer, address: str) -> None:
    assert shaken(issuer, server_context(issuer, address, NOW), address) == "TLSv1.3"


def test_it_comes_to_no_other_address(issuer: Issuer) -> None:
    with pytest.raises(ssl.SSLCertVerificationError, match="IP address mismatch"):
        shaken(issuer, server_context(issuer, HOME, NOW), "192.168.7.8")


def test_a_phone_that_does_not_trust_the_root_refuses(issuer: Issuer) -> None:
    with pytest.raises(ssl.SSLCertVerificationError):
        shaken(new_issuer(NOW), server_context(issuer, HOME, NOW), HOME)


@pytest.mark.parametrize(
    ("name", "wanted", "why"),
    [
        (x509.DNSName("example.com"), "example.com", "a site on the web"),
        (x509.DNSName("tern-point.invalid.example"), "tern-point.invalid.example", "a likeness"),
        (ip("192.0.2.1"), "192.0.2.1", "an address outside of private networks (RFC 5737)"),
        (ip("172.32.0.1"), "172.32.0.1", "just beside 172.16.0.0/12"),
        (ip("2001:db8::1"), "2001:db8::1", "an address of version 6 (RFC 3849)"),
    ],
)
def test_a_stolen_key_passes_for_nothing_outside(
    issuer: Issuer, tmp_path: Path, name: x509.GeneralName, wanted: str, why: str
) -> None:
    server = forged(issuer, name, tmp_path=tmp_path)
    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree violation"):
        shaken(issuer, server, wanted)


def test_the_forgery_would_hold_inside(issuer: Issuer, tmp_path: Path) -> None:
    """So that the test above fails for the reason that it gives."""
    assert shaken(issuer, forged(issuer, ip(HOME), tmp_path=tmp_path), HOME) == "TLSv1.3"


def test_another_implementation_agrees(issuer: Issuer) -> None:
    chain, _ = issuer.leaf(HOME, NOW)
    leaf, middle = x509.load_pem_x509_certificates(chain)
    verifier = PolicyBuilder().store(Store([issuer.root])).time(NOW)
    address = x509.IPAddress(ipaddress.ip_address(HOME))
    found = verifier.build_server_verifier(address).verify(leaf, [middle])
    assert found == [leaf, middle, issuer.root]
    other = verifier.build_server_verifier(x509.IPAddress(ipaddress.ip_address("192.168.7.8")))
    with pytest.raises(VerificationError):
        other.verify(leaf, [middle])


def test_the_roots_key_is_not_the_issuers(issuer: Issuer) -> None:
    assert issuer.root.public_key() != issuer.key.public_key()
    assert issuer.certificate.public_key() == issuer.key.public_key()


def test_no_certificate_of_the_leaf_can_sign(issuer: Issuer) -> None:
    chain, _ = issuer.leaf(HOME, NOW)
    leaf = x509.load_pem_x509_certificate(chain)
    basic = leaf.extensions.get_extension_for_class(x509.BasicConstraints)
    assert basic.critical
    assert not basic.value.ca
    lengths = [
        made.extensions.get_extension_for_class(x509.BasicConstraints).value.path_length
        for made in (issuer.root, issuer.certificate)
    ]
    assert lengths == [1, 0]
    lasts = leaf.not_valid_after_utc - leaf.not_valid_before_utc
    assert lasts < timedelta(days=825)  # what phones take from a root of one's own, from memory


def test_the_fingerprint_is_what_a_phone_shows(issuer: Issuer) -> None:
    wanted = hashlib.sha256(
        ssl.PEM_cert_to_DER_cert(issuer.root.public_bytes(Encoding.PEM).decode())
    )
    assert fingerprint(issuer.root_der).replace(" ", "").lower() == wanted.hexdigest()


# --- kept ----------------------------------------------------------------------------------------


def test_it_is_kept_for_its_owner_alone(tmp_path: Path) -> None:
    path = tmp_path / "certificate.pem"
    made = kept_issuer(path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    again = kept_issuer(path)
    assert again.root == made.root
    assert shaken(made, server_context(again, HOME, NOW), HOME)
    assert list(tmp_path.iterdir()) == [path]
    assert kept_issuer(path, anew=True).root != made.root


def test_it_is_made_anew_before_it_is_out_of_date(tmp_path: Path) -> None:
    path = tmp_path / "certificate.pem"
    made = kept_issuer(path, lambda: NOW)
    soon = NOW + ISSUER_LASTS - LEAF_LASTS - timedelta(days=1)
    assert kept_issuer(path, lambda: soon).root == made.root
    assert kept_issuer(path, lambda: soon + timedelta(days=2)).root != made.root


@pytest.mark.parametrize("how", ["cut short", "no certificate", "two that do not belong together"])
def test_a_file_that_cannot_be_read_is_left_as_it_is(tmp_path: Path, how: str) -> None:
    path, other = tmp_path / "certificate.pem", tmp_path / "other.pem"
    kept_issuer(path)
    data = path.read_bytes()
    if how == "cut short":
        data = data[:-200]
    elif how == "no certificate":
        data = b"a list of yarns\n"
    else:
        kept_issuer(other)
        key, mark, rest = other.read_bytes().partition(b"-----BEGIN CERTIFICATE")
        data = key + mark + data.partition(b"-----BEGIN CERTIFICATE")[2]
        assert rest
    path.write_bytes(data)
    with pytest.raises(NotPossible, match="cannot be read") as caught:
        kept_issuer(path)
    assert caught.value.hint
    assert path.read_bytes() == data
