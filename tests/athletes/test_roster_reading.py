"""From a file to typed rows: shapes that coaches have, dates that are asked about, problems that name their place."""

from datetime import date
from decimal import Decimal

import pytest

from athletes.core.roster.columns import find_header, guess, headings
from athletes.core.roster.rows import Choices, GuardianRow, Problem, Reading, read_rows
from athletes.core.roster.values import DateOrder, Reason
from athletes.roster_files import loaded, read_file, stored
from athletes.words import problem_words
from tests.athletes.rosters import SECOND, SEMICOLONS, VALID, as_csv, inline_workbook, merged_headings, xlsx

TODAY = date(2026, 3, 2)


def read(data: bytes, **choices: object) -> Reading:
    cells = loaded(stored(read_file(data)))
    header = find_header(cells)
    columns = guess(headings(cells, header))
    return read_rows(cells, Choices(header, columns, **choices), TODAY)  # type: ignore[arg-type]


def test_a_hand_written_csv_with_semicolons_a_bom_a_title_and_a_blank_line() -> None:
    found = read(SEMICOLONS)
    assert found.problems == () and not found.asks_date_order
    assert [(row.number, row.given, row.family, row.born) for row in found.rows] == [
        (4, "Nandi", "Kestrel", date(2011, 3, 25)),
        (5, "Eero", "Vinter", date(2010, 5, 4)),  # the 25th in the row above says that days come first
        (7, "Saoirse", "Mallow", date(2009, 11, 2)),
    ]
    assert [row.height_m for row in found.rows] == [Decimal("1.62"), Decimal("1.71"), Decimal("1.68")]
    assert [row.hand for row in found.rows] == ["right", "left", ""]
    assert found.rows[0].guardians == (GuardianRow("Thandi", "Kestrel", "", "+44 7700 900101"),)
    assert found.rows[2].guardians == ()


def test_a_workbook_with_a_title_and_merged_headings_over_two_parents() -> None:
    cells = read_file(merged_headings())
    assert find_header(cells) == 3
    assert headings(cells, 3)[5:] == (
        "Parent 1 Name",
        "Parent 1 Mobile",
        "Parent 1 E-mail",
        "Parent 2 Name",
        "Parent 2 E-mail",
    )
    found = read(merged_headings())
    assert found.problems == ()
    assert [(row.given, row.family, row.born) for row in found.rows] == [
        ("Tomasz", "Wicker", date(2010, 9, 30)),
        ("Mireille", "Tansy", date(2012, 1, 8)),
        ("Leif", "Alder", date(2008, 12, 1)),
    ]
    assert [row.height_m for row in found.rows] == [Decimal("1.6764"), Decimal("1.5621"), Decimal("1.8034")]
    assert found.rows[0].guardians[1] == GuardianRow("Jan", "Wicker", "jan@mail.example")
    assert found.rows[1].guardians == (GuardianRow("Luc", "Tansy", "", "7700900111"),)
    assert found.rows[2].guardians == (GuardianRow("Sigrid", "Alder", "sigrid@mail.example"),)


@pytest.mark.parametrize(
    "data", [as_csv(VALID), as_csv(VALID, ";"), as_csv(VALID, "\t"), xlsx(VALID), inline_workbook(VALID)]
)
def test_the_same_roster_reads_the_same_however_it_was_written(data: bytes) -> None:
    found = read(data)
    assert found == read(as_csv(VALID)) and found.problems == () and len(found.rows) == 2
    second = found.rows[1]
    assert (second.given, second.born) == ("Eero", date(2010, 5, 4))
    assert [one.given for one in second.guardians] == ["Aino", "Olavi"]


def test_the_old_western_code_page_is_read() -> None:
    assert read("Name,Phone\nOisín Clover,07700 900120\n".encode("cp1252")).rows[0].given == "Oisín"
    assert read("Name,Phone\nOisín Clover,07700 900120\n".encode("utf-16")).rows[0].given == "Oisín"


def dated(*dates: str, **choices: object) -> Reading:
    return read(as_csv([("Name", "Born"), *((f"Child {'abc'[n]}", day) for n, day in enumerate(dates))]), **choices)


def test_days_and_months_that_could_be_read_both_ways_are_asked_never_guessed() -> None:
    found = dated("03/04/2010", "05/06/2011")
    assert found.asks_date_order and found.rows == ()
    assert [(p.row, p.column, p.reason) for p in found.problems] == [
        (2, "Born", Reason.AMBIGUOUS_DATE),
        (3, "Born", Reason.AMBIGUOUS_DATE),
    ]
    said = dated("03/04/2010", "05/06/2011", date_order=DateOrder.MONTH_FIRST)
    assert [row.born for row in said.rows] == [date(2010, 3, 4), date(2011, 5, 6)]
    assert dated("03/04/2010", date_order=DateOrder.DAY_FIRST).rows[0].born == date(2010, 4, 3)


def test_one_date_that_can_be_read_one_way_only_tells_the_order_of_its_column() -> None:
    found = dated("03/04/2010", "04/25/2011")
    assert not found.asks_date_order and found.rows[0].born == date(2010, 3, 4)


def test_a_column_that_mixes_both_orders_is_asked_about_and_the_misfits_are_named() -> None:
    assert dated("25/04/2010", "04/25/2011").asks_date_order
    found = dated("25/04/2010", "04/25/2011", date_order=DateOrder.DAY_FIRST)
    assert [(p.row, p.reason) for p in found.problems] == [(3, Reason.NO_SUCH_DAY)]


@pytest.mark.parametrize(
    ("said", "born"),
    [
        ("2010-04-03", date(2010, 4, 3)),
        ("3 Apr 2010", date(2010, 4, 3)),
        ("April 3, 2010", date(2010, 4, 3)),
        ("04.04.2010", date(2010, 4, 4)),
    ],
)
def test_dates_that_can_only_mean_one_day_are_not_asked_about(said: str, born: date) -> None:
    found = dated(said)
    assert (found.rows[0].born, found.asks_date_order) == (born, False)


@pytest.mark.parametrize(
    ("said", "reason"),
    [
        ("25/04/10", Reason.TWO_DIGIT_YEAR),
        ("31.02.2010", Reason.NO_SUCH_DAY),
        ("25.04.2030", Reason.UNLIKELY_DAY),
        ("25.04.1066", Reason.UNLIKELY_DAY),
        ("spring", Reason.NO_DATE),
        ("40000", Reason.NO_DATE),
    ],
)
def test_a_date_that_cannot_be_is_a_problem(said: str, reason: Reason) -> None:
    assert dated(said).problems == (Problem(2, "Born", reason, said),)


@pytest.mark.parametrize(
    ("said", "first", "names"),
    [
        ("Nandi Kestrel", False, ("Nandi", "Kestrel")),
        ("Kestrel Nandi", True, ("Nandi", "Kestrel")),
        ("Kestrel, Nandi", False, ("Nandi", "Kestrel")),
        ("Ana Maria Gorse", False, ("Ana Maria", "Gorse")),
        ("Nandi", False, ("Nandi", "")),
    ],
)
def test_a_name_in_one_column_is_split(said: str, first: bool, names: tuple[str, str]) -> None:
    row = read(as_csv([("Name", "Phone"), (said, "07700 900100")]), family_first=first).rows[0]
    assert (row.given, row.family) == names


def test_a_column_is_guessed_once_and_a_stranger_heading_not_at_all() -> None:
    assert guess(["Name", "Name", "Shirt size", "DOB"]) == ("name", "", "", "born")
    assert guess(["Child", "Mum", "Mum mobile", "Dad", "Dad mobile"]) == (
        "name",
        "g1.name",
        "g1.phone",
        "g2.name",
        "g2.phone",
    )
    assert guess(["Given", "Family", "Vorname"], {"Given": "family"}) == ("family", "", "given")


def test_every_problem_of_a_row_is_told_and_rows_without_one_are_kept() -> None:
    bad = ("", "Kestrel", "soon", "both", "Terns", "nandi", "call me", "tall", "2.05 m", "heavy", *[""] * 6)
    found = read(as_csv([VALID[0], bad, SECOND]))
    assert [row.given for row in found.rows] == ["Eero"]
    assert {(p.row, p.column) for p in found.problems} == {
        (2, name) for name in ("First name", "Date of birth", "Hand", "E-mail", "Phone", "Height")
    }


def test_a_child_that_stands_there_twice_is_a_problem() -> None:
    found = read(as_csv([*VALID, SECOND]))
    assert [(p.row, p.reason, p.found, p.earlier) for p in found.problems] == [(4, Reason.DUPLICATE, "Eero Vinter", 3)]
    assert problem_words(found.problems[0]) == "The same child stands in row 3 already; that row counts."
