"""Where the plain page sends people, whatever they ask for."""

import http.client
import threading
from collections.abc import Iterator
from http.server import ThreadingHTTPServer
from pathlib import Path

import pytest

from deploy import trust_page


@pytest.fixture
def port(tmp_path: Path) -> Iterator[int]:
    authority = tmp_path / "authority.crt"
    authority.write_bytes(b"certificate")
    trust = trust_page.Trust("https://vault.local:8000", authority, "AB:CD")
    handler = type("Handler", (trust_page.Handler,), {"trust": trust})
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        thread = threading.Thread(target=server.serve_forever, args=(0.05,))
        thread.start()
        yield server.server_address[1]
        server.shutdown()
        thread.join()


def _ask(port: int, path: str) -> http.client.HTTPResponse:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
    try:
        connection.request("GET", path)
        answer = connection.getresponse()
        answer.read()
        return answer
    finally:
        connection.close()


@pytest.mark.parametrize(
    ("path", "target"),
    [
        ("/c/ternfield/", "https://vault.local:8000/c/ternfield/"),
        ("//evil.example/", "https://vault.local:8000/evil.example/"),
        ("http://evil.example/x", "https://vault.local:8000/x"),
        ("/a%0d%0aSet-Cookie:%20x=1", "https://vault.local:8000/a%0d%0aSet-Cookie:%20x=1"),
    ],
)
def test_a_redirect_leads_to_the_site_and_nowhere_else(port: int, path: str, target: str) -> None:
    answer = _ask(port, path)
    assert answer.status == 307
    assert answer.getheader("Location") == target


def test_the_page_loads_nothing_from_another_host_and_runs_no_script(port: int) -> None:
    answer = _ask(port, "/")
    policy = answer.getheader("Content-Security-Policy") or ""
    assert "default-src 'none'" in policy and "script-src" not in policy
    assert answer.getheader("X-Content-Type-Options") == "nosniff"
