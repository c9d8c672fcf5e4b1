from sessions.practices.models.coming import CannotCome
from sessions.practices.models.day import Departure, Incident, IncidentEntry, KitFault, StationCheck
from sessions.practices.models.plan import AdultPresence, Assignment, Attendance, Block, Practice, Station
from sessions.practices.models.templates import PlannedWork, PlanTemplate

__all__ = [
    "AdultPresence",
    "Assignment",
    "Attendance",
    "Block",
    "CannotCome",
    "Departure",
    "Incident",
    "IncidentEntry",
    "KitFault",
    "PlanTemplate",
    "PlannedWork",
    "Practice",
    "Station",
    "StationCheck",
]
