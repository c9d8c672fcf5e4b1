"""The small plain-HTTP page that helps a tablet to trust the club's certificate, and nothing more.

Only the authority's public certificate, the steps and the site's QR code are served; every other
path leads to the same path over https.
"""

import io
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import ClassVar
from urllib.parse import quote, urlsplit

import qrcode
import qrcode.image.svg
from django.template import Context, Engine
from django.utils import translation
from django.utils.translation.trans_real import parse_accept_lang_header

from deploy.data_folder import ROOT

PAGES = ROOT / "deploy" / "pages"
LOOK = ROOT / "club" / "static" / "club"
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; img-src 'self'; font-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
}


@dataclass(frozen=True)
class Trust:
    """site: the https address, without a path. authority: the public certificate's file."""

    site: str
    authority: Path
    fingerprint: str

    def answer(self, path: str, languages: str) -> tuple[str, bytes] | None:
        """Content type and body of one of the few things served; None for everything else."""
        served: dict[str, Callable[[], tuple[str, bytes]]] = {
            "/": lambda: ("text/html; charset=utf-8", self._page(languages)),
            "/sixmark-ca.crt": lambda: ("application/x-x509-ca-cert", self.authority.read_bytes()),
            "/site.svg": lambda: ("image/svg+xml", self._code),
            "/mark.svg": lambda: ("image/svg+xml", (LOOK / "img" / "mark.svg").read_bytes()),
            "/trust.css": lambda: ("text/css", (PAGES / "trust.css").read_bytes()),
            "/tokens.css": lambda: ("text/css", (LOOK / "css" / "tokens.css").read_bytes()),
        }
        # The tokens name the faces relative to themselves; only files that are there can be asked for.
        for font in (LOOK / "vendor" / "fonts").glob("*.woff2"):
            served[f"/vendor/fonts/{font.name}"] = partial(_font, font)
        return served[path]() if path in served else None

    @cached_property
    def _code(self) -> bytes:
        drawn = io.BytesIO()
        qrcode.make(f"{self.site}/", image_factory=qrcode.image.svg.SvgPathImage).save(drawn)
        return drawn.getvalue()

    def _page(self, languages: str) -> bytes:
        engine = Engine(dirs=[str(PAGES)], libraries={"i18n": "django.templatetags.i18n"})
        name = urlsplit(self.site).hostname
        with translation.override(_language(languages)):
            values = {"site": self.site, "name": name, "fingerprint": self.fingerprint}
            context = Context(values | {"language": translation.get_language()})
            return engine.get_template("trust.html").render(context).encode()


def _font(file: Path) -> tuple[str, bytes]:
    return "font/woff2", file.read_bytes()


def _language(accepted: str) -> str:
    for code, _ in parse_accept_lang_header(accepted):
        try:
            return translation.get_supported_language_variant(code)
        except LookupError:
            continue
    return "en"


class Handler(BaseHTTPRequestHandler):
    trust: ClassVar[Trust]
    server_version, sys_version = "Sixmark", ""
    timeout = 10

    def do_GET(self) -> None:
        answer = self.trust.answer(urlsplit(self.path).path, self.headers.get("Accept-Language", ""))
        if answer is None:
            self._redirect()
        else:
            self._send(200, {"Content-Type": answer[0]}, answer[1])

    do_HEAD = do_GET

    def do_POST(self) -> None:
        self._redirect()

    def _redirect(self) -> None:
        parts = urlsplit(self.path)
        path = quote(parts.path or "/", safe="/%~:=@+,;!") + (
            f"?{quote(parts.query, safe='=&%~')}" if parts.query else ""
        )
        self._send(307, {"Location": f"{self.trust.site}/{path.lstrip('/')}"}, b"")

    def _send(self, status: int, headers: dict[str, str], body: bytes) -> None:
        self.send_response(status)
        for name, value in (HEADERS | headers | {"Content-Length": str(len(body))}).items():
            self.send_header(name, value)
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(body)

    def log_message(self, format: str, *args: object) -> None:
        """Nothing is logged: an address may carry what is nobody's business."""


def serve(trust: Trust, host: str, port: int) -> None:
    handler = type("TrustHandler", (Handler,), {"trust": trust})
    ThreadingHTTPServer((host, port), handler).serve_forever()
