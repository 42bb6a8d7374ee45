"""A certificate authority of the gym's own, so that phones on its network may be spoken to over HTTPS.

Phones keep answers while the Wi-Fi is away only for pages that came over HTTPS from a certificate they trust. No public authority
vouches for a computer on a gym's network, so this installation has one of its own: made once, kept in `DATA/lan`, readable by the
owner alone, and able to vouch for private addresses and local names and for nothing else (RFC 5280, section 4.2.1.10).
"""

import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv4Network, IPv6Network, ip_address
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

PRIVATE = (
    IPv4Network("127.0.0.0/8"),
    IPv4Network("10.0.0.0/8"),
    IPv4Network("172.16.0.0/12"),
    IPv4Network("192.168.0.0/16"),
    IPv4Network("169.254.0.0/16"),
    IPv6Network("::1/128"),
    IPv6Network("fc00::/7"),
    IPv6Network("fe80::/10"),
)
LOCAL = ("localhost", "local", "lan", "internal", "home.arpa")
AUTHORITY_LIFE = timedelta(days=3650)  # phones are asked to trust it once
CERTIFICATE_LIFE = timedelta(days=397)  # telephones refuse a server's certificate that lives much longer
RENEWED_BEFORE = timedelta(days=60)
_BACKDATED = timedelta(hours=26)  # for phones whose clock or zone is off


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed:
    """A certificate and the file of its key.

    Attributes:
        certificate: the certificate itself.
        file: where it lies as PEM.
        key_file: where its key lies as PEM, readable by the owner alone.
    """

    certificate: x509.Certificate
    file: Path
    key_file: Path

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the certificate in pairs of hexadecimal digits, as phones show it."""
        return self.certificate.fingerprint(hashes.SHA256()).hex(":").upper()


def authority_in(folder: Path, now: datetime) -> Signed:
    """The authority kept in `folder`; made where there is none, or where the one there has run out."""
    old = kept(folder, "authority")
    if old is not None and now < old.certificate.not_valid_after_utc:
        return old
    key = ec.generate_private_key(ec.SECP256R1())
    name = _name(f"Floorward, this gym's own ({now:%Y-%m-%d})")
    constraints = x509.NameConstraints(
        permitted_subtrees=[*(x509.IPAddress(network) for network in PRIVATE), *map(x509.DNSName, LOCAL)],
        excluded_subtrees=None,
    )
    usage = _usage(digital_signature=False, key_cert_sign=True, crl_sign=True)
    certificate = (
        _begun(name, name, key, now, AUTHORITY_LIFE)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(constraints, critical=True)
        .add_extension(usage, critical=True)
        .sign(key, hashes.SHA256())
    )
    return _keep(folder, "authority", certificate, key)


def certificate_for(folder: Path, hosts: Sequence[str], now: datetime) -> Signed:
    """The server's certificate for `hosts`; made anew where they changed, where it soon runs out, or under a new authority.

    Args:
        folder: where both are kept.
        hosts: private addresses and local names, at least one; `local_hosts` says which of many are.
        now: the moment.
    """
    authority, old = authority_in(folder, now), kept(folder, "server")
    if old is not None and _serves(old.certificate, authority, hosts) and _lasts(old, now):
        return old
    signing = serialization.load_pem_private_key(authority.key_file.read_bytes(), None)
    assert isinstance(signing, ec.EllipticCurvePrivateKey)  # noqa: S101 - we made it
    key = ec.generate_private_key(ec.SECP256R1())
    certificate = (
        _begun(_name("Floorward in this gym"), authority.certificate.subject, key, now, CERTIFICATE_LIFE)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.SubjectAlternativeName([*map(_alternative, hosts)]), critical=False)
        .add_extension(_usage(digital_signature=True), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(_identifier_of(authority.certificate), critical=False)
        .sign(signing, hashes.SHA256())
    )
    return _keep(folder, "server", certificate, key)


def local_hosts(hosts: Sequence[str]) -> tuple[str, ...]:
    """Those of `hosts` the authority may vouch for: private addresses, and names under a local ending."""
    return tuple(host for host in dict.fromkeys(hosts) if _is_local(host))


def _is_local(host: str) -> bool:
    try:
        address = ip_address(host)
    except ValueError:
        return any(host == ending or host.endswith(f".{ending}") for ending in LOCAL)
    return any(address in network for network in PRIVATE if network.version == address.version)


def _serves(certificate: x509.Certificate, authority: Signed, hosts: Sequence[str]) -> bool:
    names = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    try:
        certificate.verify_directly_issued_by(authority.certificate)
    except Exception:  # noqa: BLE001 - whatever is wrong with it, it is made anew
        return False
    return list(names) == [*map(_alternative, hosts)]


def _lasts(signed: Signed, now: datetime) -> bool:
    return now + RENEWED_BEFORE < signed.certificate.not_valid_after_utc


def _alternative(host: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ip_address(host))
    except ValueError:
        return x509.DNSName(host)


def _name(common: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, common[:64])])


def _begun(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, now: datetime, life: timedelta
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - _BACKDATED)
        .not_valid_after(now + life)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _identifier_of(issuer: x509.Certificate) -> x509.AuthorityKeyIdentifier:
    own = issuer.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
    return x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(own)


def _usage(*, digital_signature: bool, key_cert_sign: bool = False, crl_sign: bool = False) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=digital_signature,
        key_cert_sign=key_cert_sign,
        crl_sign=crl_sign,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def kept(folder: Path, name: str) -> Signed | None:
    """What lies in `folder` under `name` ("authority" or "server"); None where nothing whole does."""
    file, key_file = folder / f"{name}.pem", folder / f"{name}.key"
    if not (file.exists() and key_file.exists()):
        return None
    try:
        return Signed(
            certificate=x509.load_pem_x509_certificate(file.read_bytes()), file=file, key_file=key_file
        )
    except ValueError:  # cut short by a crash: made anew
        return None


def _keep(folder: Path, name: str, certificate: x509.Certificate, key: ec.EllipticCurvePrivateKey) -> Signed:
    folder.mkdir(parents=True, exist_ok=True)
    plain = serialization.NoEncryption()
    pem = key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, plain)
    _write(folder / f"{name}.key", pem)
    _write(folder / f"{name}.pem", certificate.public_bytes(serialization.Encoding.PEM))
    return Signed(certificate=certificate, file=folder / f"{name}.pem", key_file=folder / f"{name}.key")


def _write(file: Path, content: bytes) -> None:
    """All of it or nothing, readable by the owner alone."""
    part = file.with_suffix(f"{file.suffix}.part")
    with os.fdopen(os.open(part, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, 0o600), "wb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
    part.replace(file)
