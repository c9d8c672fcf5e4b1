"""The private certificate authority of a club's local network, and the site's certificate from it.

The authority may vouch for one name only (name constraints, RFC 5280 4.2.1.10), so a tablet that
trusts it gives nothing else away. Its key stays in the data folder, readable by its owner alone.
"""

import ipaddress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from deploy.data_folder import write_private

AUTHORITY_DAYS = 3652  # ten years
SITE_DAYS = 365  # Apple's devices refuse more than 398 days for new certificates (from memory)
RENEW_BEFORE_DAYS = 30
BACKDATED = timedelta(hours=1)  # a tablet's clock may be a little behind


@dataclass(frozen=True, slots=True)
class Pair:
    """A certificate and its private key."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey


@dataclass(frozen=True, slots=True)
class SiteCertificate:
    """authority: the file that tablets come to trust. chain_and_key: what the server presents, and its key (0600)."""

    authority: Path
    chain_and_key: Path
    fingerprint: str
    expires: datetime


def ensure(folder: Path, name: str, *, now: datetime) -> SiteCertificate:
    """The certificate for this name (a host name or an IP address), made or renewed where needed."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    authority = _kept(folder / "authority.pem", name, now) or _make_authority(folder, name, now)
    site = _kept(folder / "site.pem", name, now, issuer=authority) or _make_site(folder, name, authority, now)
    digest = authority.certificate.fingerprint(hashes.SHA256()).hex(":").upper()
    public = folder / "authority.crt"
    write_private(public, authority.certificate.public_bytes(serialization.Encoding.PEM))
    return SiteCertificate(public, folder / "site.pem", digest, site.certificate.not_valid_after_utc)


def general_name(name: str) -> x509.DNSName | x509.IPAddress:
    try:
        return x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        return x509.DNSName(name.lower())


def _kept(file: Path, name: str, now: datetime, issuer: Pair | None = None) -> Pair | None:
    """The pair in this file if it is for this name, from this issuer and not about to expire."""
    if not file.exists():
        return None
    content = file.read_bytes()
    key = serialization.load_pem_private_key(content, password=None)
    certificate = x509.load_pem_x509_certificate(content)
    names = certificate.subject.get_attributes_for_oid(NameOID.COMMON_NAME)
    if not isinstance(key, ec.EllipticCurvePrivateKey) or not any(_is_for(name, str(each.value)) for each in names):
        return None
    if now > certificate.not_valid_after_utc - timedelta(days=RENEW_BEFORE_DAYS):
        return None
    if issuer is not None and not _issued_by(certificate, issuer.certificate):
        return None
    return Pair(certificate, key)


def _is_for(name: str, common_name: str) -> bool:
    return common_name in {name.lower(), _authority_title(name)}


def _authority_title(name: str) -> str:
    return f"Sixmark of {name.lower()}"


def _issued_by(certificate: x509.Certificate, issuer: x509.Certificate) -> bool:
    try:
        certificate.verify_directly_issued_by(issuer)
    except Exception:  # ValueError, TypeError or InvalidSignature: not ours in any case
        return False
    return True


def _make_authority(folder: Path, name: str, now: datetime) -> Pair:
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, _authority_title(name))])
    usage = _key_usage(signs_certificates=True)
    certificate = (
        _builder(subject, subject, key, now, days=AUTHORITY_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(_only(name), critical=True)
        .sign(key, hashes.SHA256())
    )
    return _saved(folder / "authority.pem", Pair(certificate, key))


def _make_site(folder: Path, name: str, authority: Pair, now: datetime) -> Pair:
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name.lower())])
    issuer_key = authority.key.public_key()
    certificate = (
        _builder(subject, authority.certificate.subject, key, now, days=SITE_DAYS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_key_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName([general_name(name)]), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(issuer_key), critical=False)
        .sign(authority.key, hashes.SHA256())
    )
    return _saved(folder / "site.pem", Pair(certificate, key))


def _builder(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, now: datetime, *, days: int
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now.astimezone(UTC) - BACKDATED)
        .not_valid_after(now.astimezone(UTC) + timedelta(days=days))
    )


def _only(name: str) -> x509.NameConstraints:
    """Permits this one name. A kind of name that is not mentioned would be free, so each kind is."""
    wanted = general_name(name)
    if isinstance(wanted, x509.DNSName):
        every_address = [x509.IPAddress(ipaddress.ip_network(network)) for network in ("0.0.0.0/0", "::/0")]
        return x509.NameConstraints(permitted_subtrees=[wanted], excluded_subtrees=every_address)
    # "invalid" is a domain that never exists (RFC 2606): permitting only it permits no host name.
    itself = x509.IPAddress(ipaddress.ip_network(str(wanted.value)))
    return x509.NameConstraints(permitted_subtrees=[itself, x509.DNSName("invalid")], excluded_subtrees=None)


def _key_usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _saved(file: Path, pair: Pair) -> Pair:
    key = pair.key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    write_private(file, pair.certificate.public_bytes(serialization.Encoding.PEM) + key)
    return pair
