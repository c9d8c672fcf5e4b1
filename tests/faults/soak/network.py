"""The adversary between one tablet and the site: a proxy of its own on loopback, whose every choice is seeded.

It loses connections in every phase of a request, answers with errors, before or after the site has worked, lets wait,
delivers twice, and late, after what was sent later. While ``calm`` it only carries. It also makes an app of a new
edition of the one that it carries, and puts bugs into its scripts.
"""

import http.client
import random
import re
import select
import socket
import threading
import time
from collections import Counter
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

MODULE = re.compile(r"/static/station/(\w+)(?:\.[0-9a-f]+)?\.js")
NOT_CARRIED = {"accept-encoding", "connection", "if-none-match", "if-modified-since", "keep-alive", "transfer-encoding"}
NOT_ANSWERED = NOT_CARRIED | {"content-length", "date", "server", "etag", "last-modified"}
ERRORS = (500, 502, 503, 429)
LONGEST_WAIT_S, LATEST_S = 4.0, 7.0
PATIENCE_S = 30.0

# What is done to a request, and how often: of those that send events or ask who is signed in; of all others.
OF_THE_API: dict[str, float] = {
    "": 60,
    "lost before it was sent": 6,
    "lost half sent": 6,
    "lost before the answer": 7,
    "lost in the answer": 5,
    "error before": 4,
    "error after": 4,
    "slow": 4,
    "twice": 5,
    "late": 5,
    "signed out meanwhile": 1,
}
# A page is some forty requests, of which none may fail.
OF_ALL_OTHERS = {"": 97.0, "lost before it was sent": 0.5, "lost before the answer": 0.5, "lost in the answer": 0.5}
OF_ALL_OTHERS |= {"error before": 0.5, "slow": 1.0}


class Lost(Exception):
    """The tablet gets no answer, or a part of one."""


@dataclass(frozen=True, slots=True)
class Request:
    method: str
    path: str
    headers: Mapping[str, str]
    body: bytes

    @property
    def sends_events(self) -> bool:
        return self.method == "POST" and self.path.endswith("/events/")

    @property
    def is_of_the_api(self) -> bool:
        return self.sends_events or self.path.endswith("/hello/")


@dataclass(frozen=True, slots=True)
class Answer:
    status: int
    headers: tuple[tuple[str, str], ...]
    body: bytes


@dataclass(frozen=True, slots=True)
class Patch:
    """In a module of the app, what stands there and what stands there instead."""

    module: str
    old: str
    new: str


@dataclass
class Network:
    """patches: in the app's scripts. sign_out: ends the tablet's session on the server.

    done: how often what was done. overlaps: flushes that began before another one of this tablet had ended.
    """

    port: int
    site_port: int
    chance: random.Random
    patches: tuple[Patch, ...] = ()
    sign_out: Callable[[], None] = lambda: None
    calm: bool = True
    edition: int = 1
    done: Counter[str] = field(default_factory=Counter)
    overlaps: int = 0
    carried: int = 0
    _flushing: list[socket.socket] = field(default_factory=list)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def start(self) -> None:
        self.server = _Server(("127.0.0.1", self.port), _Handler)
        self.server.network = self
        threading.Thread(target=self.server.serve_forever, args=(0.05,), daemon=True).start()

    def end(self) -> None:
        self.server.shutdown()
        self.server.server_close()

    # --- one request ---

    def answer(self, request: Request, client: socket.socket) -> tuple[Answer, bool]:
        """The answer, and whether all of it arrives. Raises Lost."""
        if request.sends_events:
            self._begin_flush(client)
        try:
            return self._answer(request)
        finally:
            if request.sends_events:
                with self._lock:
                    self._flushing.remove(client)

    def _answer(self, request: Request) -> tuple[Answer, bool]:
        what, error, share = self._choose(request)
        if what == "lost before it was sent":
            raise Lost
        if what == "lost half sent":
            self._carry_half(request, share)
            raise Lost
        if what == "late":
            threading.Timer(share * LATEST_S, self._carry_in_vain, (request,)).start()
            raise Lost
        if what == "error before":
            return error, True
        if what == "slow":
            time.sleep(share * LONGEST_WAIT_S)
        if what == "signed out meanwhile":
            self.sign_out()
        if what == "twice":
            self._carry_in_vain(request)
        answer = self._carry(request)
        if what == "lost before the answer":
            raise Lost
        if what == "slow":
            time.sleep((1 - share) * LONGEST_WAIT_S)
        return (error if what == "error after" else answer), what != "lost in the answer"

    def _choose(self, request: Request) -> tuple[str, Answer, float]:
        shares = OF_THE_API if request.is_of_the_api else OF_ALL_OTHERS
        with self._lock:
            self.carried += 1
            (what,) = self.chance.choices(list(shares), list(shares.values()))
            status, share = self.chance.choice(ERRORS), self.chance.random()
            if self.calm or (request.method == "POST" and not request.sends_events):
                what = ""
            if what:
                self.done[what] += 1
        again = (("Retry-After", "1"),) if status in {429, 503} else ()
        return what, Answer(status, (("Content-Type", "text/html"), *again), b"<h1>Not now</h1>"), share

    def _begin_flush(self, client: socket.socket) -> None:
        """Whoever has given up an earlier one has closed its connection."""
        with self._lock:
            self.overlaps += any(map(_is_open, self._flushing))
            self._flushing.append(client)

    # --- to the site ---

    def _carry(self, request: Request) -> Answer:
        connection = http.client.HTTPConnection("127.0.0.1", self.site_port, timeout=PATIENCE_S)
        try:
            connection.request(request.method, request.path, request.body or None, dict(request.headers))
            came = connection.getresponse()
            body = came.read()
        except (OSError, http.client.HTTPException) as error:
            raise Lost from error
        finally:
            connection.close()
        headers = tuple((name, value) for name, value in came.getheaders() if name.lower() not in NOT_ANSWERED)
        return Answer(came.status, *self._edited(request.path, headers, body))

    def _carry_in_vain(self, request: Request) -> None:
        with suppress(Lost):
            self._carry(request)

    def _carry_half(self, request: Request, share: float) -> None:
        connection = http.client.HTTPConnection("127.0.0.1", self.site_port, timeout=PATIENCE_S)
        with suppress(OSError, http.client.HTTPException):
            connection.putrequest(request.method, request.path, skip_host=True, skip_accept_encoding=True)
            for name, value in request.headers.items():
                connection.putheader(name, value)
            if request.body:
                connection.putheader("Content-Length", str(len(request.body)))
            connection.endheaders()
            connection.send(request.body[: int(len(request.body) * share)])
            time.sleep(0.02)
        connection.close()

    # --- the app that is carried ---

    def _edited(self, path: str, headers: Any, body: bytes) -> tuple[tuple[tuple[str, str], ...], bytes]:
        module = MODULE.fullmatch(path)
        if not module and not path.endswith("/worker.js"):
            return headers, body
        text = body.decode()
        if module:
            for patch in self.patches:
                if patch.module == module[1]:
                    text = text.replace(patch.old, patch.new)
            text += f"\n// edition {self.edition}\n"
        else:
            text = re.sub(r'"version": "(\w+)"', rf'"version": "\1e{self.edition}"', text)
        fresh = tuple((name, value) for name, value in headers if name.lower() != "cache-control")
        return (*fresh, ("Cache-Control", "no-cache")), text.encode()


def _is_open(client: socket.socket) -> bool:
    try:
        if not select.select([client], [], [], 0)[0]:
            return True
        return bool(client.recv(1, socket.MSG_PEEK | socket.MSG_DONTWAIT))
    except (OSError, ValueError):
        return False


class _Server(ThreadingHTTPServer):
    daemon_threads = True
    request_queue_size = 64
    network: Network

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A browser that was killed leaves its connections broken."""


class _Handler(BaseHTTPRequestHandler):
    server: _Server

    def handle_any(self) -> None:
        body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
        kept = {name: value for name, value in self.headers.items() if name.lower() not in NOT_CARRIED}
        kept.pop("Content-Length", None)
        try:
            answer, whole = self.server.network.answer(Request(self.command, self.path, kept, body), self.connection)
        except Lost:
            self.close_connection = True
            with suppress(OSError):
                self.connection.shutdown(socket.SHUT_RDWR)
            return
        self.send_response_only(answer.status)
        for name, value in answer.headers:
            self.send_header(name, value)
        self.send_header("Content-Length", str(len(answer.body)))
        self.send_header("Connection", "close")
        self.end_headers()
        self.wfile.write(answer.body if whole else answer.body[: len(answer.body) // 2])
        self.close_connection = True

    do_GET = do_POST = do_HEAD = handle_any

    def log_message(self, *_: Any) -> None:
        """Nothing: there are thousands."""
