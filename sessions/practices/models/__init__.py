from sessions.practices.models.coming import CannotCome
from sessions.practices.models.plan import AdultPresence, Assignment, Attendance, Block, Practice, Station

__all__ = ["AdultPresence", "Assignment", "Attendance", "Block", "CannotCome", "Practice", "Station"]
