from athletes.models.body import CardChange, CardLook, EmergencyCard, Measurement
from athletes.models.jumping import LONGEST_RUN, Clearance
from athletes.models.poles import NotebookEntry, Pole
from athletes.models.profile import Athlete, AthleteNote, Squad
from athletes.models.readiness import Readiness, ReadinessColumns, ReadinessDay
from athletes.models.restrictions import Restriction
from athletes.models.roster import RosterColumns, RosterDraft
from athletes.models.standing import AthleteBook, BookDay, Decision, Notice, ProgressionEdition, Standing

__all__ = [
    "LONGEST_RUN",
    "Athlete",
    "AthleteBook",
    "AthleteNote",
    "BookDay",
    "CardChange",
    "CardLook",
    "Clearance",
    "Decision",
    "EmergencyCard",
    "Measurement",
    "NotebookEntry",
    "Notice",
    "Pole",
    "ProgressionEdition",
    "Readiness",
    "ReadinessColumns",
    "ReadinessDay",
    "Restriction",
    "RosterColumns",
    "RosterDraft",
    "Squad",
    "Standing",
]
