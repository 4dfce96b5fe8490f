"""The certificate: private, renewed in time, narrow, and really accepted by a TLS client."""

from __future__ import annotations

import socket
import ssl
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from cryptography import x509
from django.test import Client

from tanwright.errors import InputError
from tanwright.yard.people.certificate import Certificate, certificate_for, kept_authority

HOSTS = ["192.168.1.20", "yard.local", "127.0.0.1", "localhost"]
NOW = datetime(2026, 11, 25, tzinfo=UTC)


def server_of(kept: Certificate) -> x509.Certificate:
    return x509.load_pem_x509_certificate(kept.chain.read_bytes())


def test_private_keys_are_their_owners_alone(tmp_path: Path) -> None:
    certificate_for(tmp_path, HOSTS)
    folder = tmp_path / "certificate"
    assert folder.stat().st_mode & 0o777 == 0o700
    for key in folder.glob("*.key"):
        assert key.stat().st_mode & 0o777 == 0o600
    assert len(list(folder.iterdir())) == 4


def test_rights_that_were_loosened_are_tightened(tmp_path: Path) -> None:
    kept = certificate_for(tmp_path, HOSTS)
    kept.key.chmod(0o644)
    (tmp_path / "certificate" / "authority.key").chmod(0o644)
    certificate_for(tmp_path, HOSTS)
    assert all(key.stat().st_mode & 0o077 == 0 for key in kept.key.parent.glob("*.key"))


def test_the_same_hosts_keep_the_same_certificate(tmp_path: Path) -> None:
    first = certificate_for(tmp_path, HOSTS, NOW)
    text = first.chain.read_bytes()
    assert certificate_for(tmp_path, HOSTS[::-1], NOW) == first
    assert first.chain.read_bytes() == text


def test_a_new_address_renews_the_server_and_not_the_authority(tmp_path: Path) -> None:
    first = certificate_for(tmp_path, HOSTS, NOW)
    old = server_of(first)
    second = certificate_for(tmp_path, ["192.168.1.99", *HOSTS[1:]], NOW)
    assert second.fingerprint == first.fingerprint
    assert server_of(second) != old


@pytest.mark.parametrize(("days", "renewed"), [(300, False), (370, True), (1000, True)])
def test_it_is_renewed_a_month_before_it_ends(days: int, renewed: bool, tmp_path: Path) -> None:
    first = certificate_for(tmp_path, HOSTS, NOW)
    later = certificate_for(tmp_path, HOSTS, NOW + timedelta(days=days))
    assert (later.until != first.until) is renewed
    assert later.until > NOW + timedelta(days=days + 29)
    assert later.fingerprint == first.fingerprint


def test_phones_take_no_longer_life(tmp_path: Path) -> None:
    server = server_of(certificate_for(tmp_path, HOSTS, NOW))
    assert server.not_valid_after_utc - server.not_valid_before_utc <= timedelta(days=398)


@pytest.mark.parametrize("name", ["server.crt", "server.key", "authority.crt", "authority.key"])
@pytest.mark.parametrize("harm", ["gone", "broken"])
def test_a_lost_or_broken_file_is_made_anew(name: str, harm: str, tmp_path: Path) -> None:
    certificate_for(tmp_path, HOSTS, NOW)
    file = tmp_path / "certificate" / name
    if harm == "gone":
        file.unlink()
    else:
        file.write_text("not a certificate")
    handshake(certificate_for(tmp_path, HOSTS), "127.0.0.1")


def test_a_host_beyond_home_is_named_by_an_authority_of_its_own(tmp_path: Path) -> None:
    first = certificate_for(tmp_path, HOSTS, NOW)
    second = certificate_for(tmp_path, [*HOSTS, "203.0.113.9", "yard.example"], NOW)
    assert second.fingerprint != first.fingerprint
    assert certificate_for(tmp_path, HOSTS, NOW).fingerprint == second.fingerprint


def test_the_authority_may_not_vouch_for_the_world(tmp_path: Path) -> None:
    kept = certificate_for(tmp_path, HOSTS, NOW)
    authority = x509.load_pem_x509_certificate(kept.authority.read_bytes())
    narrowed = authority.extensions.get_extension_for_class(x509.NameConstraints)
    names = {tree.value for tree in narrowed.value.permitted_subtrees or []}
    assert narrowed.critical
    assert "local" in names
    assert not names & {"com", "org", ""}


def handshake(kept: Certificate, host: str) -> str:
    """Connect to a server that shows the certificate, trusting the authority alone."""
    serving = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    serving.load_cert_chain(kept.chain, kept.key)
    trusting = ssl.create_default_context(cafile=str(kept.authority))
    with socket.create_server(("127.0.0.1", 0)) as listening:

        def answer() -> None:
            connection, _ = listening.accept()
            with connection, serving.wrap_socket(connection, server_side=True) as talk:
                talk.sendall(b"yard")

        thread = threading.Thread(target=answer, daemon=True)
        thread.start()
        with (
            socket.create_connection(listening.getsockname(), timeout=5) as plain,
            trusting.wrap_socket(plain, server_hostname=host) as talk,
        ):
            told = talk.recv(16).decode()
        thread.join(5)
    return told


@pytest.mark.parametrize("host", HOSTS)
def test_a_device_that_trusts_the_authority_accepts_the_server(host: str, tmp_path: Path) -> None:
    assert handshake(certificate_for(tmp_path, HOSTS), host) == "yard"


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "certificate").write_text("a file in the way")
    with pytest.raises(InputError, match="the certificate cannot be kept"):
        certificate_for(tmp_path, HOSTS)


def test_a_stranger_reads_how_to_trust_and_gets_the_file(tmp_path: Path, settings: Any) -> None:
    settings.YARD_FOLDER, settings.HTTPS = tmp_path, True
    kept = certificate_for(tmp_path, HOSTS)
    page = Client().get("/people/trust/").content.decode()
    assert kept.fingerprint in page
    for device in ("Android", "iPhone", "Laptop"):
        assert device in page
    file = Client().get("/people/trust/yard.crt")
    assert file["Content-Type"] == "application/x-x509-ca-cert"
    assert file.content == kept.authority.read_bytes()
    assert b"PRIVATE" not in file.content


def test_without_a_certificate_the_page_says_so(tmp_path: Path, settings: Any) -> None:
    settings.YARD_FOLDER, settings.HTTPS = tmp_path, False
    assert "there is nothing to trust" in Client().get("/people/trust/").content.decode()
    assert Client().get("/people/trust/yard.crt").status_code == 404
    assert kept_authority(tmp_path) is None
