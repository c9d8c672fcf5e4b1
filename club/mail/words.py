"""How a mail stands, why, and what to do, in words for the head coach."""

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext_lazy as _

from club.mail import stopping
from club.mail.kinds import KINDS, StrOrPromise
from club.mail.queries import STALE, ToMinor
from club.models import Mail, Person

State = Mail.State

STATES: dict[str, StrOrPromise] = {
    State.WAITING: _("Waiting its turn"),
    State.SENDING: _("Being sent now"),
    State.SENT: _("The mail server took it"),
    State.UNSURE: _("It may have been sent"),
    State.FAILED: _("The mail server refused it"),
    State.DROPPED: _("Not sent"),
    State.HELD: _("Held back"),
}
WAITS = _("The mail server put it off. It is tried again by itself.")
WAITS_FOR_ADULT = _("It goes as soon as an adult’s copy was taken.")
TO_DO: dict[str, StrOrPromise] = {
    "worker lost": _(
        "The program was stopped just then. Ask whether it came, or send it again; it may then come twice."
    ),
    "connection lost": _(
        "The connection broke just then. Ask whether it came, or send it again; it may then come twice."
    ),
    "refused": _("Check the address on the person’s page, put it right, then send it again."),
    "nobody to copy": _(
        "It would go to a young person alone. Give a guardian or the safeguarding officer an address and the right to "
        "mail, then send it again."
    ),
    "came back": _("The mail came back. Nothing more goes to that address until it is changed on the person’s page."),
    "no right": _("Since it was written the reader left, stopped such mail, or lost the tie or the address."),
}


@dataclass(frozen=True, slots=True)
class Overseen:
    """A mail to a minor as the safeguarding officer reads it. along: each adult who got the same, and how it stands.
    text: without the address at which the child stops such mail."""

    mail: Mail
    kind: StrOrPromise
    state: StrOrPromise
    along: tuple[tuple[Person, StrOrPromise], ...]
    text: str


def overseen(one: ToMinor) -> Overseen:
    mail, kind = one.mail, KINDS[one.mail.kind]
    text = mail.text.replace(stopping.address(mail.club, mail.to, kind), "…")
    along = tuple((row.to, STATES[row.state]) for row in one.along)
    return Overseen(mail, kind.words, STATES[mail.state], along, text)


@dataclass(frozen=True, slots=True)
class Line:
    """A mail on the page. again: whether a button sends it once more. may_come_back: whether it left, so that
    it can have come back."""

    mail: Mail
    state: StrOrPromise
    to_do: StrOrPromise
    again: bool
    may_come_back: bool = False


def line(mail: Mail, now: datetime) -> Line:
    lost = mail.state == State.SENDING and mail.sending_at is not None and mail.sending_at < now - STALE
    again = lost or mail.state in {State.UNSURE, State.FAILED, State.HELD}
    state = STATES[State.UNSURE] if lost else STATES[mail.state]
    return Line(mail, state, _to_do(mail, lost), again, mail.state in {State.SENT, State.UNSURE})


def _to_do(mail: Mail, lost: bool) -> StrOrPromise:
    if lost:
        return TO_DO["worker lost"]
    if mail.state == State.WAITING:
        return WAITS if mail.tries else WAITS_FOR_ADULT if mail.minor else ""
    return TO_DO.get(mail.reason, "")
