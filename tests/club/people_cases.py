"""What the pages of people, athletes and poles need in the world of the access tests: objects, and valid bodies."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from athletes.actions import body, jumping, poles, profile, restrictions
from athletes.models import CardLook, RosterDraft
from athletes.queries import roster
from club.members import Member, find_member
from club.models import BarredContact, Club, Consent, Guardianship
from club.roles import Permission
from drills.models import Activity

Data = dict[str, Any]


def put_people(world: Any) -> None:
    """One of each kind in both clubs, with a word of its own in each private field."""
    for where, boss, parent, vaulters in (
        ("here", "head", "parent", ("nandi", "eero", "saoirse", "athlete_helper")),
        ("elsewhere", "outsider_head", "", ("outsider_athlete",)),
    ):
        club: Club = world.club if where == "here" else world.other
        by = find_member(world.people[boss], club.slug)
        assert by is not None
        by = by.acting(Permission.PEOPLE_EDIT)
        for number, vaulter in enumerate(vaulters):
            _athlete(world, by, where, vaulter, number)
        _objects(world, by, where, vaulters[0])
        if parent:
            guardian = find_member(world.people[parent], club.slug)
            assert guardian is not None
            _report(world, guardian, vaulters[0])


def _name(where: str) -> str:
    return "ours" if where == "here" else "elsewhere_item"


def _athlete(world: Any, by: Member, where: str, vaulter: str, number: int) -> None:
    """Body mass, card, notes, notebook of one athlete."""
    athlete, now = world.athletes[vaulter], timezone.now()
    mass = Decimal("77.1") + number + (Decimal("10") if where == "elsewhere" else 0)
    row = body.measure(by=by, athlete=athlete, kind="mass", value=mass, on=world.today)
    world.add_canary(f"{mass} kg", "body_mass", (vaulter,), where)
    fields = ("allergies", "medicines", "conditions", "also_call")
    card = {name: world.word("emergency_card", vaulter, club=where) for name in fields}
    body.keep_card(by=by, athlete=athlete, now=now, allergies=world.word("emergency_card", vaulter, club=where))
    body.keep_card(by=by, athlete=athlete, now=now, **card)
    for reader in ("head", "coaches", "athlete"):
        text = world.word(f"lasting_note_{reader}", vaulter, club=where)
        note = profile.add_note(by=by, athlete=athlete, text=text, reader=reader, now=now)
    words = {"note": world.word("notebook", vaulter, club=where)}
    entry = poles.note_marks(by=by, athlete=athlete, on=world.today, grip_m=Decimal("3.20"), **words)
    if number == 0:
        world.put("measurement", _name(where), row)
        world.put("note", _name(where), note)
        world.put("entry", _name(where), entry)


def _objects(world: Any, by: Member, where: str, vaulter: str) -> None:
    athlete, name, prefix = world.athletes[vaulter], _name(where), "" if where == "here" else "elsewhere_"
    rating = Decimal("91.3") if where == "here" else Decimal("92.4")
    world.add_canary(f"{rating} kg", "pole_rating", (), where)
    for tag, which in (("T1", name), ("T2", f"{prefix}withdrawn")):
        pole = poles.add_pole(by=by, tag=tag, length_m=Decimal("3.70"), rating_kg=rating, band_m=Decimal("3.40"))
        world.put("pole", which, pole)
    poles.withdraw_pole(by=by, pole=pole, why="crack", today=world.today)
    barred = BarredContact.objects.create(
        club=by.club, child=athlete.person, name=world.word("barred", vaulter, club=where)
    )
    world.put("barred", name, barred)
    drill = world.objects["drill"][f"{prefix}drill"]
    seen = world.word("placement", vaulter, club=where)
    profile.place(by=by, athlete=athlete, drill=drill, day=world.today, now=timezone.now(), seen=seen)
    jumps = Activity.objects.create(
        club=by.club, key=f"{prefix}jumping".replace("_", "-"), name="Jumping", about="A bar or a cord.", minutes=30,
        areas=["box"],
        adult="contact", poles="rated", needs_clearance=True, order=90,
    )  # fmt: skip
    grip = {"pole": world.objects["pole"][name], "grip_m": Decimal("3.10"), "steps": 6}
    cleared = jumping.clear(by=by, athlete=athlete, activity=jumps, now=timezone.now(), **grip)
    world.put("clearance", name, cleared)
    lifted = restrictions.restrict(
        by=by, athlete=athlete, what="nothing today", excludes=["floor"], starts_on=world.today, needs_clearance=True
    )
    cleared = {"clearance_by": world.word("clearance", vaulter, club=where), "clearance_on": world.today}
    restrictions.lift(by=by, restriction=lifted, now=timezone.now() + timedelta(days=1), **cleared)
    reported = restrictions.restrict(by=by, athlete=athlete, what="no box", excludes=["contact"], starts_on=world.today)
    world.put("restriction", name, reported)
    world.put("venue", name, world.parts[f"{prefix}venue"])
    world.put("squad", name, world.parts["terns" if where == "here" else "others"])
    world.put("roster", name, _draft(world, by, where))
    tie = Guardianship.objects.filter(club=by.club).order_by("pk").first()
    world.put("tie", name, tie or _tie(world, by))
    consent = Consent.objects.filter(club=by.club).first()
    world.put("consent", name, consent or _consent(world, by))


def _tie(world: Any, by: Member) -> Guardianship:
    return Guardianship.objects.create(
        club=by.club,
        guardian=world.people["outsider_head"],
        child=world.people["outsider_athlete"],
        sees_progress=False,
    )


def _consent(world: Any, by: Member) -> Consent:
    person = world.people["outsider_athlete"]
    return Consent.objects.create(club=by.club, person=person, kind="video", given_by=person, given_on=world.today)


def _draft(world: Any, by: Member, where: str) -> RosterDraft:
    cells = [["Name", "Family"], [world.word("roster_cell", club=where), "Gorse"]]
    choices = {"header": 0, "columns": ["given", "family"], "imperial": False}
    return RosterDraft.objects.create(
        club=by.club, made_by=by.person, made_at=timezone.now(), name="list", cells=cells, choices=choices
    )


def cells_in_words(translate: Callable[[str], str]) -> None:
    """The cells of drafts, each translated: they are what somebody typed."""
    for draft in RosterDraft.objects.all():
        cells = [[translate(cell) for cell in row] for row in draft.cells]
        RosterDraft.objects.filter(pk=draft.pk).update(cells=cells)


def _report(world: Any, guardian: Member, vaulter: str) -> None:
    """What a guardian reported and no coach has answered yet; and a look at the card."""
    reported = restrictions.report(
        by=guardian,
        athlete=world.athletes[vaulter],
        what=world.word("restriction_what", vaulter),
        excludes=["contact"],
        starts_on=world.today,
        reason=world.word("restriction_reason", vaulter),
    )
    world.put("restriction", "unanswered", reported)
    CardLook.objects.create(
        club=world.club, athlete=world.athletes[vaulter], by=world.people["head"], at=timezone.now()
    )


# ── bodies ───────────────────────────────────────────────────────────────────────────────────────────────────────────


def _person(world: Any, prefix: str, target: tuple[str, ...]) -> Data:
    return {"given_name": "Pilar", "family_name": "Gorse", "language": "en", "roles": ["helper"]}


def _stamped(world: Any, prefix: str, target: tuple[str, ...]) -> Data:
    row = world.objects["roster"][target[0]]
    club = world.other if prefix else world.club
    if row.club_id != club.pk:
        return {"stamp": "", "take": ["2"]}
    by = find_member(world.people["outsider_head" if prefix else "head"], club.slug)
    assert by is not None
    by = by.acting(Permission.PEOPLE_EDIT)
    return {"stamp": roster.stamp(roster.entries(by, row, world.today, {})), "take": ["2"]}


def _file(world: Any, prefix: str, target: tuple[str, ...]) -> Data:
    return {"file": SimpleUploadedFile("list.csv", b"Name,Phone\nPilar Gorse,07700 900100\n", "text/csv")}


def _fixed(**data: Any) -> Callable[..., Data]:
    return lambda world, prefix, target: data


def _dated(**data: Any) -> Callable[..., Data]:
    return lambda world, prefix, target: {"on": world.today, **data}


NOTHING = _fixed()
BODIES: dict[str, Callable[[Any, str, tuple[str, ...]], Data]] = {
    "account": _fixed(sign_in_name="brand-new-name", language="de", now="four words and a run"),
    "this_screen": _fixed(who="coaches"),
    "edit_club": _fixed(name="Ternfield again", zone="Europe/Berlin", units="imperial"),
    "new_venue": _fixed(name="Hall"),
    "edit_venue": _fixed(name="Hall", who_calls="the one at the gate"),
    "new_area": _fixed(name="Lane 9", kind="runway", surface="synthetic-track", places=3),
    "new_person": _person,
    "edit_person": _person,
    "person_roles": _fixed(roles=["helper"]),
    "leave_club": NOTHING,
    "add_tie": lambda w, p, t: {"guardian": w.people["cross" if p else "assistant"].pk, "rights": ["may_collect"]},
    "edit_tie": _fixed(rights=["may_collect"]),
    "remove_tie": NOTHING,
    "bar_contact": _fixed(name="Somebody"),
    "unbar_contact": NOTHING,
    "give_consent": lambda w, p, t: {"kind": "account", "given_by": w.people[t[0]].pk, "given_on": w.today},
    "withdraw_consent": NOTHING,
    "invitations": lambda w, p, t: {"person": [w.people["saoirse"].pk]},
    "person_athlete": _fixed(hand="left", drop_steps=3),
    "roster": _file,
    "export_roster": NOTHING,
    "roster_columns": _fixed(header=0, family_first="no", imperial="no", column0="given", column1=""),
    "roster_preview": _stamped,
    "drop_roster": NOTHING,
    "squads": _fixed(name="Petrels"),
    "edit_squad": _fixed(name="Petrels"),
    "edit_athlete": _fixed(hand="left", drop_steps=4),
    "add_note": _fixed(text="Likes to go last.", reader="coaches"),
    "remove_note": NOTHING,
    "place_athlete": lambda w, p, t: {"drill": f"{p or 'here_'}drop".replace("_", "-"), "seen": "Walks it well."},
    "clear_athlete": lambda w, p, t: {
        "activity": f"{p}jumping".replace("_", "-"),
        "pole": w.objects["pole"]["elsewhere_item" if p else "ours"].pk,
        "grip_m": "3.10 m",
        "steps": "6",
    },
    "end_clearance": NOTHING,
    "restrict_athlete": lambda w, p, t: {"what": "no box", "excludes": ["contact"], "starts_on": w.today},
    "answer_restriction": _fixed(ends_on=""),
    "lift_restriction": _fixed(clearance_by=""),
    "report_restriction": _fixed(much="contact", days="6"),
    "add_measurement": _dated(height="1.70 m"),
    "remove_measurement": NOTHING,
    "open_card": NOTHING,
    "keep_card": _fixed(allergies="nuts"),
    "cards": lambda w, p, t: {"athlete": w.athletes[_expected(t[0])].pk},
    "add_entry": _dated(grip_m="3.20 m"),
    "remove_entry": NOTHING,
    "new_pole": _fixed(tag="T9", length_m="3.70 m", rating_kg="60 kg"),
    "edit_pole": _fixed(tag="T9", length_m="3.70 m", rating_kg="60 kg"),
    "withdraw_pole": _fixed(why="spike cut"),
    "return_pole": NOTHING,
}


def _expected(practice: str) -> str:
    """Somebody who is expected at that practice."""
    return "outsider_athlete" if practice.startswith("elsewhere") else "saoirse" if practice == "swifts" else "nandi"
