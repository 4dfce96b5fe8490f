"""The yard's own certificate: a small authority of its own, and a server certificate signed by it.

Made with the ``cryptography`` library and kept in the yard's folder, private keys readable by
their owner alone. A phone trusts the authority once (``/people/trust/``); the server certificate
may then change with the machine's addresses without asking again. What the authority may vouch
for is narrowed to private networks, names like ``.local`` and the hosts it was made for, so that a
stolen key opens no more than the yard. A host beyond that needs a new authority, trusted anew.
"""

from __future__ import annotations

import ipaddress
import os
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from tanwright.errors import InputError

AUTHORITY_YEARS: Final = 10
SERVER_DAYS: Final = 397
"""Phones refuse server certificates that live longer than 398 days."""
RENEW_DAYS: Final = 30
_NETWORKS: Final = (
    "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "100.64.0.0/10",
    "127.0.0.0/8", "fc00::/7", "fe80::/10", "::1/128",
)  # fmt: skip
_ENDINGS: Final = ("local", "localhost", "home.arpa", "lan", "internal")
"""What the authority may always vouch for: private networks, and names that no registry sells."""
Name = x509.IPAddress | x509.DNSName
_EARLIER: Final = timedelta(days=1)
"""Valid from a day ago: a phone's clock may be behind."""


@dataclass(frozen=True)
class Certificate:
    """Files of the certificate and what a person compares."""

    chain: Path
    """Server certificate and authority, PEM."""
    key: Path
    """Private key of the server, PKCS #8."""
    authority: Path
    fingerprint: str
    """SHA-256 of the authority, in pairs parted by colons."""
    until: datetime


def certificate_for(folder: Path, hosts: Sequence[str], now: datetime | None = None) -> Certificate:
    """The certificate for ``hosts`` (names and addresses), made or renewed when it has to be.

    Renewed when a host is new, or 30 days before it ends. Raises InputError when ``folder`` cannot
    be written.
    """
    now = now or datetime.now(UTC)
    place = folder / "certificate"
    try:
        place.mkdir(mode=0o700, exist_ok=True)
        place.chmod(0o700)
        return _made(place, hosts, now)
    except OSError as error:
        raise InputError(
            f"the certificate cannot be kept in {place} ({error.strerror})",
            place="certificate",
            remedy="free some space, mend the folder's rights, or start with --no-certificate",
        ) from None


def kept_authority(folder: Path) -> tuple[bytes, str] | None:
    """The authority as PEM and its fingerprint; ``None`` when there is none yet."""
    try:
        pem = (folder / "certificate" / "authority.crt").read_bytes()
        return pem, fingerprint(x509.load_pem_x509_certificate(pem))
    except (OSError, ValueError):
        return None


def fingerprint(certificate: x509.Certificate) -> str:
    """SHA-256 in pairs of hexadecimal digits, as phones and browsers show it."""
    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def _made(place: Path, hosts: Sequence[str], now: datetime) -> Certificate:
    authority_key, authority = _kept_or_made_authority(place, hosts, now)
    chain, key = place / "server.crt", place / "server.key"
    server = _read(chain)
    if server is None or _key_of(key, server) is None or not _serves(server, authority, hosts, now):
        server_key, server = _server(authority_key, authority, hosts, now)
        _write(key, _private(server_key), 0o600)
        _write(chain, _pem(server) + _pem(authority), 0o644)
    return Certificate(
        chain,
        key,
        place / "authority.crt",
        fingerprint(authority),
        server.not_valid_after_utc,
    )


def _kept_or_made_authority(
    place: Path, hosts: Sequence[str], now: datetime
) -> tuple[ec.EllipticCurvePrivateKey, x509.Certificate]:
    kept, key_file = _read(place / "authority.crt"), place / "authority.key"
    if kept is not None and _still_good(kept, hosts, now):
        kept_key = _key_of(key_file, kept)
        if kept_key is not None:
            return kept_key, kept
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Tannery yard {now:%Y-%m-%d}")])
    made = (
        _begun(name, name, key.public_key(), now, timedelta(days=365 * AUTHORITY_YEARS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(authority=True), critical=True)
        .add_extension(_constraints(hosts), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    _write(key_file, _private(key), 0o600)
    _write(place / "authority.crt", _pem(made), 0o644)
    return key, made


def _server(
    authority_key: ec.EllipticCurvePrivateKey,
    authority: x509.Certificate,
    hosts: Sequence[str],
    now: datetime,
) -> tuple[ec.EllipticCurvePrivateKey, x509.Certificate]:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Tannery yard")])
    public = authority.public_key()
    assert isinstance(public, ec.EllipticCurvePublicKey)
    made = (
        _begun(name, authority.subject, key.public_key(), now, timedelta(days=SERVER_DAYS))
        .add_extension(x509.SubjectAlternativeName(list(_names(hosts))), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(authority=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(public),
            critical=False,
        )
        .sign(authority_key, hashes.SHA256())
    )
    return key, made


def _begun(
    subject: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePublicKey,
    now: datetime,
    life: timedelta,
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - _EARLIER)
        .not_valid_after(now - _EARLIER + life)
    )


def _serves(
    server: x509.Certificate, authority: x509.Certificate, hosts: Sequence[str], now: datetime
) -> bool:
    """Whether the kept certificate is the authority's, names exactly ``hosts`` and lives on."""
    try:
        server.verify_directly_issued_by(authority)
        named = server.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except Exception:  # whatever is wrong with a kept file: it is made anew
        return False
    return set(named) == set(_names(hosts)) and server.not_valid_after_utc - now > _soon()


def _still_good(authority: x509.Certificate, hosts: Sequence[str], now: datetime) -> bool:
    return authority.not_valid_after_utc - now > _soon() and _may_vouch(authority, hosts)


def _names(hosts: Iterable[str]) -> Iterable[Name]:
    for host in dict.fromkeys(hosts):
        try:
            yield x509.IPAddress(ipaddress.ip_address(host.strip("[]")))
        except ValueError:
            yield x509.DNSName(_ascii(host))


def _ascii(host: str) -> str:
    return host.encode("idna").decode() if re.search(r"[^\x00-\x7f]", host) else host


def _constraints(hosts: Sequence[str]) -> x509.NameConstraints:
    """Private networks and names, and beyond them exactly what ``hosts`` needs."""
    networks = [ipaddress.ip_network(network) for network in _NETWORKS]
    endings = list(_ENDINGS)
    for name in _names(hosts):
        if _covers(networks, endings, name):
            continue
        if isinstance(name, x509.IPAddress):
            networks.append(ipaddress.ip_network(str(name.value)))
        else:
            endings.append(name.value)
    subtrees = [*map(x509.IPAddress, networks), *map(x509.DNSName, endings)]
    return x509.NameConstraints(permitted_subtrees=subtrees, excluded_subtrees=None)


def _may_vouch(authority: x509.Certificate, hosts: Sequence[str]) -> bool:
    """Whether every one of ``hosts`` lies within what ``authority`` is narrowed to."""
    try:
        found = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    except x509.ExtensionNotFound:
        return False
    trees = found.permitted_subtrees or []
    networks = [tree.value for tree in trees if isinstance(tree, x509.IPAddress)]
    endings = [tree.value for tree in trees if isinstance(tree, x509.DNSName)]
    return all(_covers(networks, endings, name) for name in _names(hosts))


def _covers(networks: Sequence[Any], endings: Sequence[str], name: Name) -> bool:
    if isinstance(name, x509.IPAddress):
        return any(name.value in network for network in networks)
    return any(name.value == ending or name.value.endswith(f".{ending}") for ending in endings)


def _usage(*, authority: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not authority,
        key_cert_sign=authority,
        crl_sign=authority,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _soon() -> timedelta:
    return timedelta(days=RENEW_DAYS)


def _read(path: Path) -> x509.Certificate | None:
    try:
        return x509.load_pem_x509_certificate(path.read_bytes())
    except (FileNotFoundError, ValueError):
        return None


def _key_of(path: Path, certificate: x509.Certificate) -> ec.EllipticCurvePrivateKey | None:
    """The private key in ``path`` if it is that of ``certificate``; its rights are tightened."""
    try:
        path.chmod(0o600)
        key = serialization.load_pem_private_key(path.read_bytes(), None)
    except (FileNotFoundError, ValueError):
        return None
    if not isinstance(key, ec.EllipticCurvePrivateKey):
        return None
    return key if key.public_key() == certificate.public_key() else None


def _pem(certificate: x509.Certificate) -> bytes:
    return certificate.public_bytes(serialization.Encoding.PEM)


def _private(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )


def _write(path: Path, content: bytes, mode: int) -> None:
    """Put ``content`` down whole, never for a moment with wider rights than ``mode``."""
    draft = path.with_name(f".{path.name}.part")
    draft.unlink(missing_ok=True)
    with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as file:
        file.write(content)
    draft.replace(path)
