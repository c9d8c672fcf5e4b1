"""Typed readers of the environment. Each fails loudly at start and names the variable.

Every variable that the site reads is read through these functions, so that the list in
``deploy/sixmark.env.example`` can be held against ``READ``.
"""

import os
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import parse_qs, unquote, urlsplit

READ: set[str] = set()


class SettingError(Exception):
    """An environment variable has a value that cannot be used."""


def text(name: str, default: str = "") -> str:
    READ.add(name)
    return os.environ.get(name, "").strip() or default


def switch(name: str, default: bool = False) -> bool:
    value = text(name, "1" if default else "0").lower()
    if value not in {"0", "1", "true", "false", "yes", "no"}:
        raise SettingError(f"{name} is {value!r}; use 1 or 0.")
    return value in {"1", "true", "yes"}


def number(name: str, default: int) -> int:
    value = text(name, str(default))
    if not value.isascii() or not value.isdigit():
        raise SettingError(f"{name} is {value!r}; use a whole number.")
    return int(value)


def words(name: str, default: str = "") -> list[str]:
    return [word.strip() for word in text(name, default).split(",") if word.strip()]


def folder(name: str, default: Path) -> Path:
    return Path(text(name, str(default))).expanduser().resolve()


def secret(name: str, file: Path) -> str:
    """The secret from the environment, else from a private file that deploy/up makes."""
    value = text(name)
    if value:
        return value
    if file.exists():
        return file.read_text(encoding="ascii").strip()
    raise SettingError(f"No {name}, and no file {file}. Start with deploy/up, which makes one.")


def database(name: str, sqlite_file: Path) -> dict[str, object]:
    """Django's DATABASES entry: SQLite in the data folder unless a postgresql:// address is given."""
    url = text(name)
    if not url:
        return _sqlite(sqlite_file)
    parts = urlsplit(url)
    if parts.scheme not in {"postgresql", "postgres"}:
        raise SettingError(f"{name} must begin with postgresql:// (or be empty for SQLite).")
    query = {key: values[-1] for key, values in parse_qs(parts.query).items()}
    return {
        "ENGINE": "django.db.backends.postgresql",
        "NAME": unquote(parts.path.lstrip("/")),
        "USER": unquote(parts.username or ""),
        "PASSWORD": unquote(parts.password or ""),
        "HOST": query.pop("host", parts.hostname or ""),
        "PORT": str(parts.port or query.pop("port", "")),
        "CONN_MAX_AGE": 60,
        "CONN_HEALTH_CHECKS": True,
        "OPTIONS": query,
    }


@dataclass(frozen=True, slots=True)
class MailServer:
    """host: empty where the site sends no mail. security: ``starttls``, ``tls`` from the first byte, or ``none``."""

    host: str
    port: int
    user: str
    password: str
    security: str
    sender: str


SECURITY = {"starttls": 587, "tls": 465, "none": 25}


def mail(prefix: str) -> MailServer:
    """The mail server, by variables that begin with the prefix."""
    host, security = text(f"{prefix}_HOST"), text(f"{prefix}_SECURITY", "starttls").lower()
    if security not in SECURITY:
        raise SettingError(f"{prefix}_SECURITY is {security!r}; use starttls, tls or none.")
    port, sender = number(f"{prefix}_PORT", SECURITY[security]), text(f"{prefix}_FROM")
    if host and sender.count("@") != 1:
        raise SettingError(f"{prefix}_FROM is {sender!r}; give the address that mail comes from.")
    user, password = text(f"{prefix}_USER"), text(f"{prefix}_PASSWORD")
    if password and not user:
        raise SettingError(f"{prefix}_PASSWORD is set, {prefix}_USER is not.")
    return MailServer(host, port, user, password, security, sender)


def _sqlite(file: Path) -> dict[str, object]:
    # IMMEDIATE takes the write lock when a transaction begins: DEFERRED ones fail with
    # "database is locked" as soon as two of them want to write after reading.
    return {
        "ENGINE": "club.sqlite3",
        "NAME": file,
        "CONN_MAX_AGE": 60,  # opening one and closing the last one, which writes the log back, cost more than a page
        "OPTIONS": {
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;",
        },
    }
