from athletes.models.body import CardLook, EmergencyCard, Measurement
from athletes.models.poles import NotebookEntry, Pole
from athletes.models.profile import Athlete, AthleteNote, Squad
from athletes.models.readiness import Placement, Readiness, ReadinessColumns, ReadinessDay
from athletes.models.restrictions import Restriction
from athletes.models.roster import RosterColumns, RosterDraft

__all__ = [
    "Athlete",
    "AthleteNote",
    "CardLook",
    "EmergencyCard",
    "Measurement",
    "NotebookEntry",
    "Placement",
    "Pole",
    "Readiness",
    "ReadinessColumns",
    "ReadinessDay",
    "Restriction",
    "RosterColumns",
    "RosterDraft",
    "Squad",
]
