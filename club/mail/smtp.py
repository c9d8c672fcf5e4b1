"""The wire: one connection to the mail server, and what its answers mean. Nothing here reads or writes a row."""

import smtplib
import ssl
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime
from enum import StrEnum

from club.environment import MailServer

TIMEOUT_S = 10.0
# An address in a header that were folded in its middle, or written in encoded words, nobody could follow.
HEADERS = SMTP.clone(max_line_length=990)


class ServerDown(Exception):
    """The server cannot be used just now: not reached, no sign-in, our sender not taken. Every mail waits."""


class Result(StrEnum):
    SENT = "sent"
    LATER = "later"  # not taken for now; the server said so
    REFUSED = "refused"  # never
    UNSURE = "unsure"  # the connection broke while the server had the words: it may have taken them


@dataclass(frozen=True, slots=True)
class Answer:
    result: Result
    said: str


@dataclass(frozen=True, slots=True)
class Envelope:
    """to: one address. stop: where mail of this kind is stopped, by a page or in one click (RFC 8058)."""

    id: str
    club: str
    to: str
    title: str
    text: str
    html: str
    language: str
    stop: str
    at: datetime


def message(envelope: Envelope, sender: str) -> bytes:
    """The mail as the server gets it. Raises ValueError for an address that no mail can go to."""
    made = EmailMessage(policy=HEADERS)
    made["From"] = _address(sender, envelope.club)
    made["To"] = _address(envelope.to)
    made["Subject"] = envelope.title
    made["Date"] = format_datetime(envelope.at)
    made["Message-ID"] = f"<{envelope.id}@{_domain(sender)}>"  # the same when sent once more, so that readers can tell
    made["Auto-Submitted"] = "auto-generated"
    made["List-Unsubscribe"] = f"<{envelope.stop}>"
    made["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    made.set_content(envelope.text, cte="quoted-printable")
    made.add_alternative(envelope.html, subtype="html", cte="quoted-printable")
    made["Content-Language"] = envelope.language
    return made.as_bytes()


def _address(written: str, name: str = "") -> Address:
    return Address(display_name=name, addr_spec=plain_address(written))


def plain_address(written: str) -> str:
    """With its domain as servers know it. Raises ValueError."""
    local, _, domain = written.strip().rpartition("@")
    made = f"{local}@{domain.encode('idna').decode('ascii')}"
    if not local or not made.isascii() or any(sign in made for sign in "<>\r\n "):
        raise ValueError(f"{written!r} is no address")
    return made


def _domain(sender: str) -> str:
    return plain_address(sender).rpartition("@")[2]


@contextmanager
def connected(server: MailServer, timeout_s: float = TIMEOUT_S) -> Iterator["Connection"]:
    """A connection that is signed in. Raises ServerDown."""
    client = None
    try:
        client = _open(server, timeout_s)
        yield Connection(client, server.sender)
    except (OSError, smtplib.SMTPException) as error:
        raise ServerDown(_said(error)) from error
    finally:
        if client is not None:
            with suppress(OSError, smtplib.SMTPException):
                client.quit()


def _open(server: MailServer, timeout_s: float) -> smtplib.SMTP:
    context = ssl.create_default_context()
    if server.security == "tls":
        client: smtplib.SMTP = smtplib.SMTP_SSL(server.host, server.port, timeout=timeout_s, context=context)
    else:
        client = smtplib.SMTP(server.host, server.port, timeout=timeout_s)
    if server.security == "starttls":
        client.starttls(context=context)
    client.ehlo_or_helo_if_needed()
    if server.user:
        client.login(server.user, server.password)
    return client


def _said(error: Exception) -> str:
    if isinstance(error, smtplib.SMTPResponseException):
        return _words(error.smtp_code, error.smtp_error)
    return f"{type(error).__name__}: {error}"[:300]


def _words(code: int, said: bytes | str) -> str:
    text = said.decode("utf-8", "replace") if isinstance(said, bytes) else str(said)
    return f"{code} {' '.join(text.split())}"[:300]


@dataclass(frozen=True, slots=True)
class Connection:
    client: smtplib.SMTP
    sender: str

    def hand_over(self, envelope: Envelope, begin: Callable[[], bool]) -> Answer | None:
        """Hands one mail to the server. begin: called before the first word leaves; stores that it may be on its way
        from here on, and says whether it is still ours to send (else None). Raises ServerDown, and then no word left.
        """
        try:
            to, content = plain_address(envelope.to), message(envelope, self.sender)
        except (ValueError, UnicodeError) as error:
            return Answer(Result.REFUSED, str(error))
        early = self._introduce(to)
        if early is not None:
            return early
        if not begin():
            self.client.rset()
            return None
        return self._data(content, envelope.to)

    def _introduce(self, to: str) -> Answer | None:
        code, said = self.client.mail(plain_address(self.sender))
        if code != 250:  # about us, not about this mail
            raise ServerDown(_words(code, said))
        code, said = self.client.rcpt(to)
        if code in {250, 251}:
            return None
        if code == 421:
            raise ServerDown(_words(code, said))
        self.client.rset()
        return self._no(code, said, to)

    def _data(self, content: bytes, to: str) -> Answer:
        try:
            code, said = self.client.data(content)
        except smtplib.SMTPDataError as error:  # it did not want to hear it
            return self._no(error.smtp_code, error.smtp_error, to)
        except (OSError, smtplib.SMTPException) as error:
            return Answer(Result.UNSURE, _said(error))
        return Answer(Result.SENT, _hidden(_words(code, said), to)) if code == 250 else self._no(code, said, to)

    def _no(self, code: int, said: bytes | str, to: str) -> Answer:
        result = Result.REFUSED if 500 <= code < 600 else Result.LATER
        return Answer(result, _hidden(_words(code, said), to))


def _hidden(words: str, to: str) -> str:
    """The server's words without the address: what is kept about a mail is read by others than its reader."""
    return words.replace(to, "…").replace(plain_address(to), "…")
