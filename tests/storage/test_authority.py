"""The gym's own certificates: what they may vouch for, and when they are made anew. Checked with OpenSSL's own chain building."""

import ssl
import subprocess
from datetime import timedelta

import pytest

from floorward.storage import authority
from tests.conftest import at

NOW = at("2026-11-23 18:00")
HOSTS = ("192.168.1.20", "gym.local", "localhost", "127.0.0.1")


def openssl_accepts(folder, host_option, host, when=NOW):
    command = ["openssl", "verify", "-x509_strict", "-attime", str(int(when.timestamp()))]
    files = ["-CAfile", str(folder / "authority.pem"), host_option, host, str(folder / "server.pem")]
    return subprocess.run([*command, *files], capture_output=True, check=False).returncode == 0


@pytest.mark.parametrize(
    ("option", "host"), [("-verify_ip", "192.168.1.20"), ("-verify_hostname", "gym.local")]
)
def test_openssl_accepts_the_certificate_for_its_own_hosts(tmp_path, option, host):
    authority.certificate_for(tmp_path, HOSTS, NOW)
    assert openssl_accepts(tmp_path, option, host)


@pytest.mark.parametrize(
    ("option", "host"), [("-verify_ip", "192.168.1.21"), ("-verify_hostname", "other.local")]
)
def test_openssl_refuses_it_for_another_host(tmp_path, option, host):
    authority.certificate_for(tmp_path, HOSTS, NOW)
    assert not openssl_accepts(tmp_path, option, host)


@pytest.mark.parametrize(
    ("option", "host"), [("-verify_hostname", "bank.example"), ("-verify_ip", "203.0.113.9")]
)
def test_openssl_refuses_what_the_authority_signs_outside_the_gym(tmp_path, option, host):
    authority.certificate_for(tmp_path, (host,), NOW)
    assert not openssl_accepts(tmp_path, option, host)


def test_only_private_addresses_and_local_names_are_local():
    hosts = ("10.0.0.7", "8.8.8.8", "gym.local", "gym.example", "fe80::1", "2001:db8::1", "nonlocal")
    assert authority.local_hosts(hosts) == ("10.0.0.7", "gym.local", "fe80::1")


def test_a_second_start_keeps_both_certificates(tmp_path):
    first = authority.certificate_for(tmp_path, HOSTS, NOW)
    again = authority.certificate_for(tmp_path, HOSTS, NOW + timedelta(days=30))
    assert again.fingerprint == first.fingerprint


def test_a_new_address_gets_a_new_certificate_that_phones_trust_already(tmp_path):
    trusted = authority.authority_in(tmp_path, NOW).fingerprint
    authority.certificate_for(tmp_path, HOSTS, NOW)
    authority.certificate_for(tmp_path, ("192.168.1.77",), NOW)
    assert authority.authority_in(tmp_path, NOW).fingerprint == trusted
    assert openssl_accepts(tmp_path, "-verify_ip", "192.168.1.77")


def test_a_certificate_is_renewed_before_it_runs_out(tmp_path):
    authority.certificate_for(tmp_path, HOSTS, NOW)
    later = NOW + authority.CERTIFICATE_LIFE - timedelta(days=10)
    authority.certificate_for(tmp_path, HOSTS, later)
    assert openssl_accepts(tmp_path, "-verify_ip", HOSTS[0], later + timedelta(days=300))


def test_keys_are_readable_by_the_owner_alone(tmp_path):
    authority.certificate_for(tmp_path, HOSTS, NOW)
    modes = {file.name: file.stat().st_mode & 0o077 for file in tmp_path.iterdir()}
    assert modes == dict.fromkeys(("authority.pem", "authority.key", "server.pem", "server.key"), 0)


def test_a_file_cut_short_is_made_anew(tmp_path):
    authority.certificate_for(tmp_path, HOSTS, NOW)
    (tmp_path / "server.pem").write_bytes(b"-----BEGIN CERT")
    signed = authority.certificate_for(tmp_path, HOSTS, NOW)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(signed.file, signed.key_file)
    assert openssl_accepts(tmp_path, "-verify_ip", HOSTS[0])
