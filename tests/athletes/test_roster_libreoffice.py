"""A workbook written by LibreOffice 7.4, with real dates and numbers in its cells, reads as the same roster."""

from datetime import date
from decimal import Decimal
from pathlib import Path

from tests.athletes.test_roster_reading import read

FILES = Path(__file__).parent / "files"
FILE = FILES / "made_by_libreoffice.xlsx"


def test_a_workbook_of_libreoffice_is_read_without_a_problem() -> None:
    found = read(FILE.read_bytes())
    assert found.problems == () and len(found.rows) == 2
    nandi, eero = found.rows
    assert (nandi.given, nandi.family, nandi.born, nandi.height_m) == (
        "Nandi", "Kestrel", date(2011, 3, 25), Decimal("1.62")
    )  # fmt: skip
    assert [one.given for one in eero.guardians] == ["Aino", "Olavi"] and eero.born == date(2010, 5, 4)


def test_a_sheet_saved_as_ods_and_that_as_a_workbook_is_read_below_its_title() -> None:
    found = read((FILES / "ods_saved_as_xlsx.xlsx").read_bytes())
    assert found.problems == () and [row.given for row in found.rows] == ["Pilar", "Hana", "Aurel"]
    pilar, hana, aurel = found.rows
    assert (pilar.born, pilar.standing_reach_m, hana.squads) == (
        date(2010, 9, 30),
        Decimal("2.05"),
        ("Swifts", "Terns"),
    )
    assert [(one.given, one.phone, one.email) for one in aurel.guardians] == [("Dana", "", "dana@mail.example")]
