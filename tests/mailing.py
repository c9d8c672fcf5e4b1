"""A real mail server on loopback, which takes what it is told to take and remembers what it took."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session

from club.environment import MailServer
from deploy.listening import free_port

SENDER = "practice@ternfield.example"
Step = Callable[[str, str], str | None]
"""Called with the step (``ehlo``, ``mail``, ``rcpt``, ``data`` before the words were kept, ``taken`` after, ``quit``)
and whom it is for. What it answers is said to the client instead of yes."""


@dataclass(slots=True)
class Taken:
    to: str
    mail: EmailMessage
    raw: bytes

    @property
    def text(self) -> str:
        part = self.mail.get_body(("plain",))
        assert part is not None
        return str(part.get_content())

    @property
    def html(self) -> str:
        part = self.mail.get_body(("html",))
        assert part is not None
        return str(part.get_content())


@dataclass
class LoopbackServer:
    """taken: every mail that it said yes to, or kept and was then cut off from. step: what it answers instead."""

    port: int
    taken: list[Taken] = field(default_factory=list)
    step: Step = lambda step, to: None
    connections: int = 0

    @property
    def settings(self) -> MailServer:
        return MailServer("127.0.0.1", self.port, "", "", "none", SENDER)

    def to(self, address: str) -> list[Taken]:
        return [one for one in self.taken if one.to == address]

    # --- what aiosmtpd calls ---

    async def handle_EHLO(self, server: SMTP, session: Session, envelope: Envelope, host: str, said: Any) -> Any:
        session.host_name = host
        self.connections += 1
        self.step("ehlo", "")
        return said

    async def handle_MAIL(self, server: SMTP, session: Session, envelope: Envelope, address: str, options: Any) -> str:
        envelope.mail_from = address
        return self.step("mail", address) or "250 OK"

    async def handle_RCPT(self, server: SMTP, session: Session, envelope: Envelope, address: str, options: Any) -> str:
        said = self.step("rcpt", address)
        if said is None:
            envelope.rcpt_tos.append(address)
        return said or "250 OK"

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        to = envelope.rcpt_tos[0]
        said = self.step("data", to)
        if said:
            return said
        mail = message_from_bytes(envelope.content or b"", policy=policy.default)
        assert isinstance(mail, EmailMessage)
        self.taken.append(Taken(to, mail, envelope.original_content or b""))
        return self.step("taken", to) or "250 taken"

    async def handle_QUIT(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        self.step("quit", "")
        return "221 Bye"


@contextmanager
def loopback() -> Iterator[LoopbackServer]:
    server = LoopbackServer(free_port())
    controller = Controller(server, hostname="127.0.0.1", port=server.port)
    controller.start()
    try:
        yield server
    finally:
        controller.stop()
