"""Where the invented club practises, and who runs which station there."""

from drills.core.catalogue import AdultLevel, AreaKind, Surface
from sessions.demo.core.planning import Spot

VENUE, ADDRESS = "Quarry Track", "Quarry Lane, Ternfield, gate B beside the hut"
FLOOR = Spot("Smooth floor", AreaKind.FLOOR, Surface.SMOOTH_FLOOR, 6, "Aiko", AdultLevel.CONTACT)
LANE_1 = Spot("Lane 1", AreaKind.RUNWAY, Surface.SYNTHETIC_TRACK, 6, "Marta", AdultLevel.CONTACT)
LANE_2 = Spot("Lane 2", AreaKind.RUNWAY, Surface.SYNTHETIC_TRACK, 6, "Joren", AdultLevel.FLOOR)
INFIELD = Spot("Infield", AreaKind.FLOOR, Surface.GRASS, 6, "Petr", AdultLevel.NONE, helper=True)
# Nobody stands there yet: contact opens by the head coach's own touch.
WALL = Spot("Wall", AreaKind.WALL, Surface.SMOOTH_FLOOR, 4, "Marta", AdultLevel.CONTACT)
BOX = Spot("Box", AreaKind.BOX, Surface.SYNTHETIC_TRACK, 6, "Marta", AdultLevel.CONTACT)
AREAS = (FLOOR, LANE_1, LANE_2, INFIELD, WALL, BOX)

CREWS = {
    (0,): (FLOOR, LANE_1, LANE_2),
    (1,): (FLOOR, LANE_1, LANE_2),
    (0, 1): (FLOOR, LANE_1, LANE_2, INFIELD),
}
"""Stations by which squads practise."""
PRESENT = "Dagny"
"""Present only; runs nothing."""
