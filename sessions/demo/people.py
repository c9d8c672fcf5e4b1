"""Who is in the invented club. Nobody here exists."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Vaulter:
    """An invented athlete. born: year; squad: index; parent: given name of an invented guardian."""

    given: str
    family: str
    hand: str
    born: int
    squad: int
    parent: str


SQUADS = ("Terns", "Swifts")
VAULTERS = (
    Vaulter("Nandi", "Kestrel", "right", 2011, 0, "Thandi"),
    Vaulter("Eero", "Vinter", "left", 2010, 0, "Aino"),
    Vaulter("Saoirse", "Mallow", "right", 2009, 0, "Niamh"),
    Vaulter("Tomasz", "Wicker", "right", 2010, 0, "Ewa"),
    Vaulter("Mireille", "Tansy", "right", 2012, 0, "Luc"),
    Vaulter("Leif", "Alder", "left", 2008, 0, "Sigrid"),
    Vaulter("Amara", "Dune", "right", 2009, 1, "Chike"),
    Vaulter("Pilar", "Gorse", "right", 2011, 1, "Inés"),
    Vaulter("Kalea", "Nettle", "left", 2012, 1, "Malia"),
    Vaulter("Vihaan", "Pine", "right", 2010, 1, "Asha"),
    Vaulter("Hana", "Sedge", "right", 2012, 1, "Emi"),
    Vaulter("Oisín", "Clover", "right", 2011, 1, "Bríd"),
)
