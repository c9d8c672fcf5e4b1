"""The private certificate authority: what it vouches for, for how long, and who may read its key."""

import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509

from deploy import certificates

NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)


def _certificate(file: Path) -> x509.Certificate:
    return x509.load_pem_x509_certificate(file.read_bytes())


def test_the_keys_are_readable_by_their_owner_alone(tmp_path: Path) -> None:
    made = certificates.ensure(tmp_path / "lan", "vault.local", now=NOW)
    for file in (tmp_path / "lan" / "authority.pem", made.chain_and_key):
        assert b"PRIVATE KEY" in file.read_bytes()
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE((tmp_path / "lan").stat().st_mode) == 0o700
    assert b"PRIVATE KEY" not in made.authority.read_bytes()


def test_the_authority_lasts_ten_years_and_the_site_one(tmp_path: Path) -> None:
    made = certificates.ensure(tmp_path, "vault.local", now=NOW)
    assert _certificate(made.authority).not_valid_after_utc - NOW == timedelta(days=3652)
    assert made.expires - NOW == timedelta(days=365)


def test_a_second_start_keeps_both(tmp_path: Path) -> None:
    first = certificates.ensure(tmp_path, "vault.local", now=NOW)
    kept = first.chain_and_key.read_bytes()
    second = certificates.ensure(tmp_path, "vault.local", now=NOW + timedelta(days=300))
    assert second.fingerprint == first.fingerprint
    assert second.chain_and_key.read_bytes() == kept


def test_the_site_is_renewed_in_its_last_thirty_days_and_tablets_keep_their_trust(tmp_path: Path) -> None:
    first = certificates.ensure(tmp_path, "vault.local", now=NOW)
    later = NOW + timedelta(days=336)
    second = certificates.ensure(tmp_path, "vault.local", now=later)
    assert second.fingerprint == first.fingerprint
    assert second.expires == later + timedelta(days=365)
    _certificate(second.chain_and_key).verify_directly_issued_by(_certificate(second.authority))


def test_another_name_gets_another_authority(tmp_path: Path) -> None:
    first = certificates.ensure(tmp_path, "vault.local", now=NOW)
    second = certificates.ensure(tmp_path, "pit.local", now=NOW)
    assert second.fingerprint != first.fingerprint
    names = _certificate(second.chain_and_key).extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert names.get_values_for_type(x509.DNSName) == ["pit.local"]


@pytest.mark.parametrize("name", ["vault.local", "192.0.2.7", "2001:db8::7"])
def test_the_authority_is_held_to_one_name(tmp_path: Path, name: str) -> None:
    made = certificates.ensure(tmp_path, name, now=NOW)
    limits = _certificate(made.authority).extensions.get_extension_for_class(x509.NameConstraints)
    assert limits.critical
    permitted = [str(each.value) for each in limits.value.permitted_subtrees or []]
    assert any(each.split("/")[0] == name for each in permitted)
    assert len(permitted) == (1 if name == "vault.local" else 2)
