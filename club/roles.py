"""Who may do what: one pure table. No view, template or query compares role names; they ask this.

A permission is granted to a role *in a relation*: over the whole club, over oneself, over a child
one is tied to, or over the station one stands at. Unlisted is refused. ``tests/club/policy.py`` holds the
hand-written answers that this table is judged against.
"""

from enum import StrEnum


class Role(StrEnum):
    HEAD_COACH = "head_coach"
    ASSISTANT = "assistant"
    HELPER = "helper"
    ATHLETE = "athlete"
    GUARDIAN = "guardian"
    SAFEGUARDING_OFFICER = "safeguarding_officer"


class Relation(StrEnum):
    CLUB = "club"  # every row of the club
    SELF = "self"  # rows about this person
    CHILD = "child"  # rows about a child whose progress this guardian may see
    TIED = "tied"  # CHILD, and of every child with a tie in force its dates, restrictions and emergency card
    CHARGE = "charge"  # practices at which this adult is checked in, and what an adult in charge needs there
    STATION = "station"  # first names and drills at the floor station this helper stands at today


class Permission(StrEnum):
    SCHEMA_READ = "schema.read"
    WEEK_READ = "week.read"
    PRACTICE_READ = "practice.read"
    PRACTICE_PLAN = "practice.plan"
    PRACTICE_RUN = "practice.run"
    REPS_LOG = "reps.log"
    REPS_CORRECT = "reps.correct"
    READINESS_READ = "readiness.read"
    ATHLETE_READ = "athlete.read"
    ATHLETE_EDIT = "athlete.edit"
    RESTRICTION_REASON = "restriction.reason"
    RESTRICTION_LAY = "restriction.lay"
    RESTRICTION_REPORT = "restriction.report"
    BODY_READ = "body.read"
    POLE_READ = "pole.read"
    POLE_EDIT = "pole.edit"
    ABSENCE_SAY = "absence.say"
    CARD_READ = "card.read"
    CARD_KEEP = "card.keep"
    INCIDENT_READ = "incident.read"
    DECIDE = "decide"
    CATALOGUE_READ = "catalogue.read"
    CATALOGUE_EDIT = "catalogue.edit"
    MY_READ = "my.read"
    SELF_CHECK = "self.check"
    SUMMARY_READ = "summary.read"
    SUMMARY_APPROVE = "summary.approve"
    CHILD_READ = "child.read"
    PEOPLE_READ = "people.read"
    PEOPLE_EDIT = "people.edit"
    LINK_MAKE = "link.make"
    CLUB_READ = "club.read"
    CLUB_EDIT = "club.edit"
    AUDIT_READ = "audit.read"
    ARCHIVE_TAKE = "archive.take"
    MAIL_KEEP = "mail.keep"
    MAIL_OVERSEE = "mail.oversee"
    CALENDAR_KEEP = "calendar.keep"


_CLUB, _SELF, _STATION = Relation.CLUB, Relation.SELF, Relation.STATION
_HEAD = {Role.HEAD_COACH: _CLUB}
_COACHES = {Role.HEAD_COACH: _CLUB, Role.ASSISTANT: _CLUB}

GRANTS: dict[Permission, dict[Role, Relation]] = {
    Permission.SCHEMA_READ: {
        Role.HEAD_COACH: _CLUB,
        Role.ASSISTANT: _CLUB,
        Role.HELPER: _STATION,
        Role.ATHLETE: _SELF,
        Role.GUARDIAN: Relation.CHILD,
        Role.SAFEGUARDING_OFFICER: _CLUB,
    },
    Permission.WEEK_READ: _COACHES,
    Permission.PRACTICE_READ: _COACHES,
    Permission.PRACTICE_PLAN: _HEAD,
    Permission.PRACTICE_RUN: _COACHES,
    Permission.REPS_LOG: {**_COACHES, Role.HELPER: _STATION},
    Permission.REPS_CORRECT: _COACHES,
    Permission.READINESS_READ: _COACHES,
    Permission.ATHLETE_READ: _COACHES,
    Permission.ATHLETE_EDIT: _HEAD,
    Permission.RESTRICTION_REASON: _HEAD,
    Permission.RESTRICTION_LAY: _COACHES,
    Permission.RESTRICTION_REPORT: {Role.ATHLETE: _SELF, Role.GUARDIAN: Relation.TIED},
    Permission.ABSENCE_SAY: {Role.ATHLETE: _SELF, Role.GUARDIAN: Relation.TIED},
    Permission.BODY_READ: _HEAD,
    Permission.POLE_READ: _COACHES,
    Permission.POLE_EDIT: _HEAD,
    Permission.CARD_READ: {Role.HEAD_COACH: _CLUB, Role.ASSISTANT: Relation.CHARGE},
    Permission.CARD_KEEP: {Role.ATHLETE: _SELF, Role.GUARDIAN: Relation.TIED},
    Permission.INCIDENT_READ: {
        Role.HEAD_COACH: _CLUB,
        Role.ASSISTANT: Relation.CHARGE,
        Role.SAFEGUARDING_OFFICER: _CLUB,
    },
    Permission.DECIDE: _HEAD,
    Permission.CATALOGUE_READ: _COACHES,
    Permission.CATALOGUE_EDIT: _HEAD,
    Permission.MY_READ: {Role.ATHLETE: _SELF},
    Permission.SELF_CHECK: {Role.ATHLETE: _SELF},
    Permission.SUMMARY_READ: {Role.HEAD_COACH: _CLUB, Role.ATHLETE: _SELF, Role.GUARDIAN: Relation.CHILD},
    Permission.SUMMARY_APPROVE: _HEAD,
    Permission.CHILD_READ: {Role.GUARDIAN: Relation.TIED},
    Permission.PEOPLE_READ: _HEAD,
    Permission.PEOPLE_EDIT: _HEAD,
    Permission.LINK_MAKE: _HEAD,
    Permission.CLUB_READ: {Role.HEAD_COACH: _CLUB},
    Permission.CLUB_EDIT: _HEAD,
    Permission.ARCHIVE_TAKE: _HEAD,
    Permission.AUDIT_READ: {Role.HEAD_COACH: _CLUB, Role.SAFEGUARDING_OFFICER: _CLUB},
    Permission.MAIL_KEEP: _HEAD,
    Permission.MAIL_OVERSEE: {Role.SAFEGUARDING_OFFICER: _CLUB},
    Permission.CALENDAR_KEEP: {
        Role.HEAD_COACH: _SELF,
        Role.ASSISTANT: _SELF,
        Role.ATHLETE: _SELF,
        Role.GUARDIAN: Relation.TIED,
    },
}

# A link for a head coach comes from the command line alone: nobody makes a link for a person who
# holds a role outside this set, however they hold it.
LINKS_FOR: dict[Role, frozenset[Role]] = {
    Role.HEAD_COACH: frozenset({Role.ASSISTANT, Role.HELPER, Role.ATHLETE, Role.GUARDIAN}),
}

# Who holds one of these is grown up, where no date of birth says otherwise. A helper may be an older athlete.
GROWN_UP = frozenset({Role.HEAD_COACH, Role.ASSISTANT, Role.GUARDIAN, Role.SAFEGUARDING_OFFICER})

# Who gets the copy of a mail to a minor that no guardian gets, the first who can.
SECOND_ADULTS = (Role.SAFEGUARDING_OFFICER, Role.HEAD_COACH, Role.ASSISTANT)

# Where a person lands: the first of these that they may open.
HOME: tuple[tuple[Permission, str], ...] = (
    (Permission.WEEK_READ, "week"),
    (Permission.REPS_LOG, "station_start"),
    (Permission.MY_READ, "my_practice"),
    (Permission.CHILD_READ, "children"),
    (Permission.AUDIT_READ, "audit"),
)


def relations(roles: frozenset[Role], permission: Permission) -> frozenset[Relation]:
    """Over what a holder of these roles has the permission; empty means refused."""
    granted = GRANTS.get(permission, {})
    return frozenset(granted[role] for role in roles if role in granted)


def may_make_link(maker: frozenset[Role], holder: frozenset[Role]) -> bool:
    """May somebody with the roles ``maker`` hand a sign-in link to a holder of all of ``holder``?"""
    allowed = frozenset().union(*(LINKS_FOR.get(role, frozenset()) for role in maker))
    return bool(holder) and holder <= allowed
