"""What importing a roster would change: recognised by name and date of birth, else asked; out and in is the same."""

import csv
import io
from dataclasses import replace
from datetime import date
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from athletes.core.roster.columns import MEANINGS, What, find_header, guess, headings
from athletes.core.roster.plan import (
    BECOMES_GUARDIAN,
    COMES_BACK,
    NEW_PERSON,
    NEW_TIE,
    Change,
    Known,
    State,
    plan,
)
from athletes.core.roster.rows import ChildRow, Choices, GuardianRow, read_rows
from athletes.core.roster.sheet import lines
from athletes.core.roster.values import quoted, unquoted
from athletes.roster_files import read_file

BORN = date(2011, 3, 25)
TODAY = date(2026, 3, 2)
THANDI = Known("t", "Thandi", "Kestrel", guardian=True, phone="07700 900101")
NANDI = Known(
    "n", "Nandi", "Kestrel", BORN, athlete=True, hand="right", squads=frozenset({"Terns"}), guardians=frozenset({"t"})
)
ROW = ChildRow(2, "nandi", "KESTREL", BORN, "right", ("Terns",), guardians=(GuardianRow("Thandi", "Kestrel"),))


def test_a_child_of_that_name_and_date_of_birth_is_recognised_and_nothing_changes() -> None:
    entry = plan([ROW], [NANDI, THANDI], {})[0]
    assert entry.match.state is State.KNOWN and entry.match.person == "n"
    assert entry.settled and not entry.asks


def test_the_same_name_with_another_date_of_birth_is_somebody_else() -> None:
    assert plan([replace(ROW, born=date(2012, 1, 1))], [NANDI], {})[0].match.state is State.NEW


def test_a_name_without_a_date_of_birth_on_either_side_is_asked_about() -> None:
    for row, known in ((replace(ROW, born=None), NANDI), (ROW, replace(NANDI, born=None))):
        asked = plan([row], [known, THANDI], {})[0]
        assert (asked.match.state, asked.match.candidates, asked.asks) == (State.ASK, ("n",), True)
        assert plan([row], [known, THANDI], {"2": "n"})[0].match.state is State.KNOWN
        assert plan([row], [known, THANDI], {"2": NEW_PERSON})[0].match.state is State.NEW
        assert plan([row], [known, THANDI], {"2": "t"})[0].asks, "an answer that was never a candidate answers nothing"


def test_what_would_change_is_said_old_and_new_and_empty_cells_change_nothing() -> None:
    row = replace(ROW, hand="left", squads=("terns", "Swifts"), phone="07700 900100", height_m=Decimal("1.62"))
    assert plan([row], [NANDI, THANDI], {})[0].changes == (
        Change(What.HAND, "right", "left"),
        Change(What.PHONE, "", "07700 900100"),
        Change(What.SQUADS, "Terns", "Swifts"),
        Change(What.HEIGHT, "", "1.62"),
    )
    assert plan([replace(ROW, hand="", squads=())], [NANDI, THANDI], {})[0].settled


def test_somebody_who_left_comes_back_and_is_no_new_person() -> None:
    assert plan([ROW], [replace(NANDI, here=False, athlete=False), THANDI], {})[0].changes == (
        Change(COMES_BACK, "", ""),
    )


def test_a_guardian_is_recognised_by_the_tie_or_by_a_contact_that_agrees_and_else_asked_about() -> None:
    untied = replace(NANDI, guardians=frozenset())
    by_phone = replace(ROW, guardians=(GuardianRow("Thandi", "Kestrel", "", "+44 7700 900101"),))
    assert plan([ROW], [NANDI, THANDI], {})[0].guardians[0].match.person == "t"
    found = plan([by_phone], [untied, THANDI], {})[0].guardians[0]
    assert (found.match.person, [change.what for change in found.changes]) == ("t", [What.PHONE, NEW_TIE])
    assert plan([ROW], [untied, THANDI], {})[0].guardians[0].match.candidates == ("t",)
    coach = replace(THANDI, guardian=False)
    answered = plan([ROW], [untied, coach], {"2.g1": "t"})[0].guardians[0]
    assert [change.what for change in answered.changes] == [BECOMES_GUARDIAN, NEW_TIE]


def test_one_new_guardian_of_two_children_is_one_person_and_two_of_one_name_are_two() -> None:
    def row(number: int, family: str, phone: str) -> ChildRow:
        return ChildRow(number, "Kid", family, guardians=(GuardianRow("Ana", "Gorse", "", phone),))

    def identities(*rows: ChildRow) -> int:
        return len({entry.guardians[0].identity for entry in plan(rows, [], {})})

    assert identities(row(2, "Gorse", "07700 900101"), row(3, "Pine", "+44 7700 900101")) == 1
    assert identities(row(2, "Gorse", "07700 900101"), row(3, "Gorse", "07700 900102")) == 2
    assert identities(row(2, "Gorse", ""), row(3, "Gorse", "")) == 1
    assert identities(row(2, "Gorse", ""), row(3, "Pine", "")) == 2


# --- out and in ----------------------------------------------------------------------------------

LETTERS = st.text(st.sampled_from("abcdeäöéßøłñ'-."), min_size=1, max_size=8).map(str.title)
NAMES = LETTERS.filter(lambda name: any(c.isalpha() for c in name))
PHONES = st.sampled_from(["", "+44 7700 900100", "07700 900101", "(0770) 090-0102"])
EMAILS = st.sampled_from(["", "a@mail.example", "-b@mail.example", "=c@mail.example"])
METRES = st.decimals(Decimal("1.2"), Decimal("2.5"), places=4)


@st.composite
def clubs(draw: st.DrawFn) -> list[Known]:
    count = draw(st.integers(1, 5))
    adults = [
        Known(f"g{n}", draw(NAMES), f"{draw(NAMES)}{'abcde'[n]}", email=draw(EMAILS), phone=draw(PHONES), guardian=True)
        for n in range(count)
    ]
    children = [
        Known(
            f"c{n}",
            draw(NAMES),
            draw(NAMES),
            date(2008 + n, 5, 4),
            draw(EMAILS),
            draw(PHONES),
            athlete=True,
            hand=draw(st.sampled_from(["right", "left"])),
            squads=frozenset(draw(st.sets(st.sampled_from(["Terns", "-Swifts", "=U14", "Café"])))),
            measured={What.HEIGHT: draw(METRES), What.STANDING_REACH: draw(METRES)},
            guardians=frozenset(draw(st.sets(st.sampled_from([adult.id for adult in adults])))),
        )
        for n in range(count)
    ]
    return [*adults, *children]


@given(clubs())
@settings(max_examples=120, deadline=None)
def test_importing_what_was_exported_changes_nothing(club: list[Known]) -> None:
    people = {one.id: one for one in club}
    names = {meaning.key: f"column {meaning.key}" for meaning in MEANINGS}
    text = io.StringIO(newline="")
    csv.writer(text).writerows(lines([one for one in club if one.athlete], people, names))
    cells = read_file(("\ufeff" + text.getvalue()).encode())
    header = find_header(cells)
    known = {name: key for key, name in names.items()}
    reading = read_rows(cells, Choices(header, guess(headings(cells, header), known)), TODAY)
    assert reading.problems == ()
    entries = plan(reading.rows, club, {})
    assert len(entries) == sum(one.athlete for one in club)
    assert [entry for entry in entries if not entry.settled] == []


@given(st.text(max_size=20))
def test_quoting_keeps_a_spreadsheet_from_computing_and_is_undone(said: str) -> None:
    assert unquoted(quoted(said)) == said
    assert not quoted(said).startswith(("=", "+", "-", "@", "\t", "\r"))
