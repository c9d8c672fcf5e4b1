"""Who may read a mail, and how the mails of a club stand."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from club.mail.kinds import KINDS, Kind, StrOrPromise
from club.members import Member
from club.models import Club, Duty, Guardianship, Mail, MailStop, Membership, Person
from club.queries import is_under
from club.roles import GROWN_UP, SECOND_ADULTS, Role

GROWN_UP_AT = 18
POST = "post"
ALIVE = (Mail.State.WAITING, Mail.State.SENDING, Mail.State.UNSURE, Mail.State.SENT)
KEPT_FOR = timedelta(days=365)
"""How long a mail's words are kept; after that a night deletes them."""
STALE = timedelta(minutes=2)
"""A mail that says "being sent" for longer than any server may take: its worker is gone."""


def lost(now: datetime) -> Q:
    """Mails that did not surely arrive, and that nobody is going to send by themselves."""
    gone = Q(state=Mail.State.SENDING, sending_at__lt=now - STALE)
    return gone | Q(state__in=[Mail.State.UNSURE, Mail.State.FAILED, Mail.State.HELD])


def is_minor(person: Person, roles: Iterable[str], today: date) -> bool:
    """Under 18; without a date of birth, whoever holds no role of a grown-up."""
    if person.birth_date:
        return is_under(GROWN_UP_AT, person.birth_date, today)
    return not GROWN_UP & set(map(Role, roles))


def roles_in(club: Club, person: Person) -> frozenset[str]:
    rows = Membership.objects.for_club(club).filter(person=person, left_on__isnull=True)
    return frozenset(rows.values_list("role", flat=True))


def minor_in(club: Club, person: Person, today: date) -> bool:
    return is_minor(person, roles_in(club, person), today)


def guardians(club: Club, child: Person, kind: Kind, today: date) -> list[Person]:
    """Adults whose tie to the child gives mail of that kind today, who have an address and did not stop it."""
    ties = Guardianship.objects.for_club(club).filter(child=child, gets_mail=True, barred=False)
    ties = ties.exclude(until__lt=today)
    if kind.shows_progress:
        ties = ties.filter(sees_progress=True)
    found = reachable(club, kind).filter(pk__in=ties.values("guardian")).order_by("given_name", "pk")
    return [person for person in found if not minor_in(club, person, today)]


def second_adults(club: Club, child: Person, kind: Kind, today: date, writer: Person | None) -> list[Person]:
    """Adults of the club who can read what goes to a child, in the order in which they are asked. Not who wrote it."""
    barred = Guardianship.objects.for_club(club).filter(child=child, barred=True).values("guardian")
    rows = Membership.objects.for_club(club).filter(role__in=SECOND_ADULTS, left_on__isnull=True)
    rows = rows.filter(person__in=reachable(club, kind)).exclude(person__in=barred).exclude(person=child)
    rows = rows.exclude(person=writer) if writer else rows
    found = sorted(rows.select_related("person"), key=lambda row: (SECOND_ADULTS.index(Role(row.role)), row.pk))
    people = dict.fromkeys(row.person for row in found)
    return [person for person in people if not minor_in(club, person, today)]


def reachable(club: Club, kind: Kind) -> QuerySet[Person]:
    """Members of the club with an address from which no mail came back, who did not stop mail of that kind."""
    members = Membership.objects.for_club(club).filter(left_on__isnull=True).values("person")
    stopped = MailStop.objects.for_club(club).filter(kind=kind.name).values("person")
    rows = Person.objects.filter(pk__in=members, is_active=True).exclude(email="").exclude(email=F("bad_email"))
    return rows.exclude(pk__in=stopped)  # type: ignore[no-any-return]


def may_read(mail: Mail, today: date) -> bool:
    """Whether that mail may still go to whom it was written: ties end, addresses go, people leave."""
    kind, club = KINDS[mail.kind], mail.club
    if not reachable(club, kind).filter(pk=mail.to_id).exists():
        return False
    if mail.to_id == mail.about_id:
        return True
    if mail.to in guardians(club, mail.about, kind, today):
        return True
    return mail.copy and mail.to in second_adults(club, mail.about, kind, today, mail.by)


def copies(mail: Mail) -> QuerySet[Mail]:
    """What adults get of the same thing about the same child."""
    rows = Mail.objects.for_club(mail.club).filter(kind=mail.kind, key=mail.key, about=mail.about_id, minor=False)
    return rows.exclude(to=mail.about_id)


def next_waiting(club: Club, now: datetime) -> Mail | None:
    """The mail to hand to the server next: adults' first; a minor's once an adult's of the same thing was taken."""
    taken = Mail.objects.filter(
        club=OuterRef("club"), kind=OuterRef("kind"), key=OuterRef("key"), about=OuterRef("about"), minor=False
    ).filter(state=Mail.State.SENT)
    rows = Mail.objects.for_club(club).filter(state=Mail.State.WAITING, due_at__lte=now)
    rows = rows.filter(Q(minor=False) | Exists(taken.exclude(to=OuterRef("to"))))
    return rows.select_related("to", "about", "by", "club").order_by("minor", "due_at", "pk").first()


def uncopied(club: Club) -> QuerySet[Mail]:
    """Mails to minors that wait for an adult's copy which nobody is going to get by itself."""
    alive = Mail.objects.filter(
        club=OuterRef("club"), kind=OuterRef("kind"), key=OuterRef("key"), about=OuterRef("about"), minor=False
    ).filter(state__in=ALIVE)
    rows = Mail.objects.for_club(club).filter(state=Mail.State.WAITING, minor=True)
    return rows.exclude(Exists(alive.exclude(to=OuterRef("to"))))


# --- the page of the mails ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Server:
    """failures: times in a row that the mail server could not be used. error: what it said. waiting: mails."""

    failures: int
    error: str
    next_try: datetime | None
    waiting: int


def server(member: Member) -> Server:
    duty = Duty.objects.for_member(member).filter(kind=POST).first()
    waiting = mails(member).filter(state=Mail.State.WAITING).count()
    if duty is None or not duty.failures:
        return Server(0, "", None, waiting)
    return Server(duty.failures, duty.last_error, duty.due_at, waiting)


def mails(member: Member) -> QuerySet[Mail]:
    """Newest first."""
    rows = Mail.objects.for_member(member).select_related("to", "about", "by")
    return rows.order_by("-queued_at", "pk")


def troubled(member: Member, now: datetime) -> QuerySet[Mail]:
    return mails(member).filter(lost(now))


@dataclass(frozen=True, slots=True)
class ToMinor:
    """A mail to a minor, and who read along: each adult's mail of the same thing about the same child."""

    mail: Mail
    along: tuple[Mail, ...]


def to_minors(member: Member) -> QuerySet[Mail]:
    """Newest first."""
    return mails(member).filter(minor=True)


def with_readers(member: Member, rows: Iterable[Mail]) -> list[ToMinor]:
    """One query, however many rows."""
    found = list(rows)
    wanted = {name: {getattr(row, name) for row in found} for name in ("kind", "key", "about_id")}
    adults = mails(member).filter(
        kind__in=wanted["kind"], key__in=wanted["key"], about__in=wanted["about_id"], minor=False
    )
    along: dict[tuple[str, str, object], list[Mail]] = {}
    for row in adults.exclude(to=F("about")).order_by("to__given_name", "pk"):
        along.setdefault((row.kind, row.key, row.about_id), []).append(row)
    return [ToMinor(row, tuple(along.get((row.kind, row.key, row.about_id), ()))) for row in found]


def stopped(member: Member) -> frozenset[str]:
    """Kinds of which the member gets no mail, by their own wish."""
    rows = MailStop.objects.for_club(member.club).filter(person=member.person)
    return frozenset(rows.values_list("kind", flat=True))


def kinds_wanted(member: Member) -> list[tuple[str, StrOrPromise, bool]]:
    """Name, words and whether the member gets it, of each kind of mail."""
    wanted_not = stopped(member)
    return [(kind.name, kind.words, kind.name not in wanted_not) for kind in KINDS.values()]
