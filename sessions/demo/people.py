"""Who is in the invented club, and what its coaches write. Nobody here exists."""

from dataclasses import dataclass

from sessions.demo.core.season import Words


@dataclass(frozen=True, slots=True)
class Adult:
    """level: as a membership has it; empty for those who are no adult of a practice."""

    given: str
    family: str
    role: str
    level: str = ""


@dataclass(frozen=True, slots=True)
class Vaulter:
    """An invented athlete. age: in years; placed: the drill that the head coach placed them at, ten weeks ago.

    guardians: given and family name. away: not there from so many to so many days ago. keen: comes whenever it can be.
    slips: a checkpoint at which they have got worse, and since how many days.
    """

    given: str
    family: str
    age: int
    guardians: tuple[tuple[str, str], ...]
    placed: str | None = None
    hand: str = "right"
    away: tuple[int, int] | None = None
    keen: bool = False
    slips: tuple[str, int] | None = None


@dataclass(frozen=True, slots=True)
class Held:
    """A restriction in force. since, until: days from today."""

    vaulter: str
    what: str
    excludes: tuple[str, ...]
    reason: str
    since: int
    until: int


HEAD_COACH = Adult("Marta", "Okoro", "head_coach", "contact")
ADULTS = (
    Adult("Aiko", "Reed", "assistant", "contact"),
    Adult("Joren", "Ashby", "assistant", "floor"),
    Adult("Dagny", "Holm", "assistant", "present"),
    Adult("Ines", "Moor", "safeguarding_officer"),
    Adult("Petr", "Lund", "helper"),
)

RUN, JOG = "running-drop-and-plant", "jogging-drop-and-plant"
SIX, THREE, STANDING = "six-step-walking-drop-and-plant", "three-step-walking-drop", "standing-drop-and-plant"
NETTLES = ("Malia", "Nettle"), ("Keoni", "Nettle")

TERNS = (
    Vaulter("Nandi", "Kestrel", 15, (("Thandi", "Kestrel"),), JOG, keen=True),
    Vaulter("Eero", "Vinter", 16, (("Aino", "Vinter"),), SIX, hand="left"),
    Vaulter("Wren", "Larch", 12, (("Hollis", "Larch"),)),
    Vaulter("Saoirse", "Mallow", 17, (("Niamh", "Mallow"),), JOG),
    # Two households: each has a sign-in, and each sees the same child.
    Vaulter("Tomasz", "Wicker", 16, (("Ewa", "Wicker"), ("Marek", "Dorn")), RUN, away=(44, 24)),
    Vaulter("Mireille", "Tansy", 14, (("Luc", "Tansy"),), SIX),
    Vaulter("Leif", "Alder", 18, (("Sigrid", "Alder"),), RUN, hand="left", keen=True, slips=("plant-start", 18)),
    Vaulter("Joaquín", "Rush", 17, (("Inmaculada", "Rush"),), RUN),
    Vaulter("Rangi", "Heath", 13, (("Aroha", "Heath"),), STANDING, hand="left"),
    Vaulter("Chidi", "Elm", 14, (("Ngozi", "Elm"),), STANDING),
    Vaulter("Quyên", "Birch", 12, (("Lan", "Birch"),)),
    Vaulter("Bjarne", "Ivy", 13, (("Astrid", "Ivy"),)),
)
SWIFTS = (
    Vaulter("Amara", "Dune", 17, (("Chike", "Dune"),), RUN, keen=True),
    Vaulter("Kalea", "Nettle", 14, NETTLES, THREE, hand="left"),
    Vaulter("Hana", "Sedge", 13, (("Emi", "Sedge"),)),
    Vaulter("Ikaika", "Nettle", 12, NETTLES),
    Vaulter("Pilar", "Gorse", 15, (("Inés", "Gorse"),), SIX),
    Vaulter("Vihaan", "Pine", 16, (("Asha", "Pine"),), SIX),
    Vaulter("Oisín", "Clover", 15, (("Bríd", "Clover"),), THREE),
    Vaulter("Giulia", "Fern", 16, (("Paolo", "Fern"),), THREE, away=(58, 43)),
    Vaulter("Dilnoza", "Umber", 15, (("Malika", "Umber"),), THREE),
    Vaulter("Farida", "Zephyr", 14, (("Karim", "Zephyr"),), STANDING),
    Vaulter("Ulrike", "Juniper", 14, (("Jutta", "Juniper"),), away=(16, 0)),
    Vaulter("Yusuf", "Bracken", 13, (("Leyla", "Bracken"),)),
)
SQUADS = {"Terns": TERNS, "Swifts": SWIFTS}
RESTRICTED = Held(
    "Joaquín", "Walking drills only", ("moving", "contact"), "A sore ankle; running again once it is settled.", -6, 9
)

WORDS = Words(
    coaches=(
        "Looks for the markers now instead of counting. Leave them out there.",
        "Held a hand lower today, and the drop was calm at once.",
        "Tires in the third block. Shorter line next time.",
        "Try the mirror on the top-hand side before we go back to the lane.",
        "Film from behind next week: I could not see the path from where I stood.",
        "Asked for the lighter pole. Let us keep it for the drop work.",
    ),
    athlete=(
        "Your hand stayed at the hip all through the last block. Keep that picture.",
        "Slow down, fast up: that was it.",
        "Next time: eyes up from the third-last step.",
        "You waited for the marker today. Do the same next time.",
        "Good patience with the standing drop. It shows when you walk.",
    ),
)
