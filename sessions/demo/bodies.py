"""What the invented club has measured and written down: poles, bodies, phones of guardians, marks in notebooks."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from random import Random

from athletes.actions import body, poles
from athletes.models import Athlete, Measurement, Pole
from club.actions import edit_person
from club.members import Member
from club.models import Guardianship, Person
from sessions.demo.people import Vaulter

PHONE = "07700 900{:03d}"
"""Numbers kept free for stories: 07700 900000 to 900999 (Ofcom; from memory)."""
MEASURED_DAYS_AGO, DUE_DAYS_AGO = 9, 40
DUE_EVERY = 5
"""Every fifth vaulter's mass is older than 30 days: "check due"."""
NOTED_DAYS_AGO = (3, 10, 24)


@dataclass(frozen=True, slots=True)
class Made:
    """An invented pole. Metres and kilograms; tags are birds."""

    tag: str
    length_m: str
    rating_kg: str
    band_m: str
    mass_kg: str = "1.6"
    why: str = ""


POLES = (
    Made("Dunlin 1", "3.05", "45", "2.85", "1.2"),
    Made("Dunlin 2", "3.05", "50", "2.85", "1.2"),
    Made("Heron 1", "3.40", "55", "3.20"),
    Made("Heron 2", "3.40", "60", "3.20"),
    Made("Heron 3", "3.70", "65", "3.50"),
    Made("Osprey", "4.00", "75", "3.80", "2.0"),
    Made("Old Wader", "3.40", "55", "3.20", why="A spike cut a hand above the tip"),
)


def enter_bodies(by: Member, athletes: list[tuple[Vaulter, Athlete]], today: date, dice: Random) -> None:
    """Poles first, since notebooks name them. by: acts with the head coach's permissions."""
    found = [_pole(by, made, today) for made in POLES]
    for number, (vaulter, athlete) in enumerate(athletes):
        height, mass = _measure(by, vaulter, athlete, number, today, dice)
        rated = [pole for pole in found if not pole.why and pole.rating_kg and pole.rating_kg >= mass]
        _notebook(by, athlete, height, rated, today)
    _phones(by)


def _pole(by: Member, made: Made, today: date) -> Pole:
    numbers = {name: Decimal(getattr(made, name)) for name in ("length_m", "rating_kg", "band_m", "mass_kg")}
    pole = poles.add_pole(by=by, tag=made.tag, **numbers)
    if made.why:
        poles.withdraw_pole(by=by, pole=pole, why=made.why, today=today - timedelta(days=30))
        pole.refresh_from_db()
    return pole


def _measure(
    by: Member, vaulter: Vaulter, athlete: Athlete, number: int, today: date, dice: Random
) -> tuple[Decimal, Decimal]:
    """Height, reach and mass as such ages have them; returns the height in metres and the mass in kilograms."""
    height = Decimal(148 + 4 * min(vaulter.age - 12, 6) + dice.randint(-4, 5)) / 100
    ago = DUE_DAYS_AGO if number % DUE_EVERY == DUE_EVERY - 1 else MEASURED_DAYS_AGO
    values = {
        Measurement.Kind.HEIGHT: height,
        Measurement.Kind.STANDING_REACH: (height * Decimal("1.27")).quantize(Decimal("0.01")),
        Measurement.Kind.MASS: (height * height * Decimal("19.5")).quantize(Decimal("0.5")),
    }
    for kind, value in values.items():
        body.measure(by=by, athlete=athlete, kind=kind, value=value, on=today - timedelta(days=ago))
    return height, values[Measurement.Kind.MASS]


def _notebook(by: Member, athlete: Athlete, height: Decimal, found: list[Pole], today: date) -> None:
    """Grips that creep up to a hand above standing reach, below the band of a pole that is long enough."""
    for turn, ago in enumerate(NOTED_DAYS_AGO):
        grip = (height * Decimal("1.27") + Decimal("0.10") - Decimal("0.05") * turn).quantize(Decimal("0.01"))
        pole = next(one for one in found if one.band_m is not None and one.band_m > grip)
        marks = {"steps": 6, "start_mark_m": Decimal("9.80") - turn * Decimal("0.10"), "mid_mark_m": Decimal("8.90")}
        poles.note_marks(
            by=by, athlete=athlete, on=today - timedelta(days=ago), pole=pole, grip_m=grip, **(marks if turn else {})
        )


def _phones(by: Member) -> None:
    guardians = Person.objects.filter(pk__in=Guardianship.objects.for_club(by.club).values("guardian"))
    for number, person in enumerate(guardians.order_by("given_name", "family_name", "pk"), start=100):
        edit_person(by=by, person=person, phone=PHONE.format(number))
