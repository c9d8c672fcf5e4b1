from sessions.practices.models.coming import CannotCome
from sessions.practices.models.day import Departure, Incident, IncidentEntry, KitFault, StationCheck
from sessions.practices.models.plan import AdultPresence, Assignment, Attendance, Block, Practice, Station

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
    "Practice",
    "Station",
    "StationCheck",
]
