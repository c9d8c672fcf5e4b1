"""Asks a running server how it is, by its own name and through its own certificate."""

import http.client
import json
import socket
import ssl
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit


@dataclass(frozen=True, slots=True)
class Address:
    """Where a server listens, and the name under which it answers. authority: the certificate to trust for https."""

    host: str
    port: int
    base_url: str
    authority: Path | None = None
    behind_proxy: bool = False

    @property
    def name(self) -> str:
        return urlsplit(self.base_url).hostname or "localhost"


@dataclass(frozen=True, slots=True)
class Health:
    """status: the answer's HTTP status, 0 when nobody answered. parts: what /healthz says of each part."""

    status: int
    parts: dict[str, object]

    @property
    def good(self) -> bool:
        return self.status == 200


def ask(address: Address, timeout_s: float = 3.0) -> Health:
    try:
        status, body = get(address, "/healthz", timeout_s=timeout_s)
    except (OSError, http.client.HTTPException):
        return Health(0, {})
    with suppress(ValueError):
        parts = json.loads(body)
        if isinstance(parts, dict):
            return Health(status, parts)
    return Health(status, {})


def get(address: Address, path: str, *, timeout_s: float = 3.0) -> tuple[int, bytes]:
    """Status and body. Raises OSError (ssl.SSLError among them) when no connection comes about."""
    connection = http.client.HTTPConnection(address.name, timeout=timeout_s)
    connection.sock = _connected(address, timeout_s)
    forwarded = {"X-Forwarded-Proto": "https"} if address.behind_proxy else {}
    try:
        connection.request("GET", path, headers={"Host": urlsplit(address.base_url).netloc} | forwarded)
        answer = connection.getresponse()
        return answer.status, answer.read()
    finally:
        connection.close()


def _connected(address: Address, timeout_s: float) -> socket.socket:
    plain = socket.create_connection((address.host, address.port), timeout=timeout_s)
    if address.authority is None:
        return plain
    try:
        context = ssl.create_default_context(cafile=str(address.authority))
        context.verify_flags |= ssl.VERIFY_X509_PARTIAL_CHAIN  # the file may hold the site's own chain
        return context.wrap_socket(plain, server_hostname=address.name)
    except OSError:
        plain.close()
        raise
