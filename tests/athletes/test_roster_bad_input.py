"""Generated bad input for rosters: every operator on every field. The preview names row and column, and the rows of the
club stay as they were."""

from itertools import product

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client

from athletes.models import RosterDraft
from athletes.queries import roster as queries
from athletes.roster_files import FileReason
from athletes.words import file_words, problem_words, reason_words
from club.clock import club_today
from tests.athletes.rosters import FIRST, HEADINGS, SECOND, as_csv, entity_bomb, measured, packed, xlsx
from tests.builders import Cast, make_person
from tests.club.asking import dump

pytestmark = pytest.mark.django_db

OPERATORS = {
    "emptied": "",
    "wrong type": "certainly 12 not",
    "negative": "-5",
    "formula": '=HYPERLINK("x")',
    "command": "@SUM(1+1)",
    "invisible": "a\u202eb",
    "bell": "a\x07b",
    "long": "x" * 300,
    "markup": "<script>1</script>",
}
# What a field may hold after an operator without being wrong. Everything else is a problem at that row and column.
FINE = {("emptied", name) for name in set(HEADINGS) - {"First name", "Mother first name", "Father name"}} | {
    ("wrong type", "Squad"),
    ("markup", "Squad"),
}  # a squad is called what the club likes; pages escape it
UNTOUCHED = {"athletes_rosterdraft", "athletes_rostercolumns", "club_duty"}


def rows() -> dict[str, object]:
    return {name: found for name, found in dump().items() if name not in UNTOUCHED}


@pytest.fixture
def client(cast: Cast) -> Client:
    browser = Client()
    browser.force_login(cast.head_coach.person)
    return browser


def spoilt(column: int, value: str) -> tuple[str, ...]:
    return (*FIRST[:column], value, *FIRST[column + 1 :])


@pytest.mark.parametrize("operator", OPERATORS)
def test_every_field_spoilt_by_an_operator_is_named_and_nothing_is_stored(
    client: Client, cast: Cast, operator: str
) -> None:
    before = rows()
    for column, name in enumerate(HEADINGS):
        data = as_csv([HEADINGS, SECOND, spoilt(column, OPERATORS[operator])])
        answer = client.post(f"/c/{cast.club.slug}/people/roster/", {"file": SimpleUploadedFile("list.csv", data)})
        assert answer.status_code == 302
        draft = measured(RosterDraft.objects.latest("made_at"))
        page = client.get(f"/c/{cast.club.slug}/people/roster/{draft.pk}/").content.decode()
        problems = queries.reading(draft, club_today(cast.club)).problems
        if (operator, name) in FINE or name == "Weight":  # nobody reads that column
            assert problems == (), (operator, name)
            continue
        assert [(one.row, one.column) for one in problems] == [(3, name)], (operator, name, problems)
        assert "<td>3</td>" in page and f"<td>{name}</td>" in page and reason_words(problems[0].reason) in page
        assert "<script>1" not in page
    assert rows() == before


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (as_csv([HEADINGS, spoilt(0, "x" * 3000)]), FileReason.CELL_TOO_LONG),
        (as_csv([HEADINGS, *([FIRST] * 600)]), FileReason.TOO_MANY_ROWS),
        (b"\x89PNG\r\n\x1a\n\x00\x00", FileReason.NOT_READABLE),
        (b"", FileReason.EMPTY),
        (b"PK\x03\x04" + b"\x00" * 200, FileReason.NOT_READABLE),
        (b"a,b\n" * 400_000, FileReason.TOO_LARGE),
    ],
    ids=lambda value: value.name if isinstance(value, FileReason) else "",
)
def test_a_file_that_cannot_be_read_says_why_and_leaves_no_draft(
    client: Client, cast: Cast, data: bytes, reason: FileReason
) -> None:
    before = dump()
    answer = client.post(f"/c/{cast.club.slug}/people/roster/", {"file": SimpleUploadedFile("list.csv", data)})
    assert answer.status_code == 422 and file_words(reason) in answer.content.decode()
    assert dump() == before


def posted(client: Client, cast: Cast, data: bytes, name: str = "list.csv") -> HttpResponse:
    return client.post(f"/c/{cast.club.slug}/people/roster/", {"file": SimpleUploadedFile(name, data)})


def test_bytes_that_are_no_text_are_named_by_their_line_whichever_field_they_stand_in(
    client: Client, cast: Cast
) -> None:
    before = dump()
    for column in range(len(HEADINGS)):
        data = as_csv([HEADINGS, SECOND, spoilt(column, "BROKEN")]).replace(b"BROKEN", b"a\x81b")
        answer = posted(client, cast, data)
        assert answer.status_code == 422 and "Look at line 3." in answer.content.decode(), HEADINGS[column]
    assert dump() == before


def test_a_row_that_stands_there_twice_is_named_with_the_row_that_counts(client: Client, cast: Cast) -> None:
    before = rows()
    for column, name in enumerate(HEADINGS):  # twice, whatever else of it differs; but a name or a birthday does
        other = spoilt(column, SECOND[column])
        posted(client, cast, as_csv([HEADINGS, FIRST, SECOND, other]))
        problems = queries.reading(measured(RosterDraft.objects.latest("made_at")), club_today(cast.club)).problems
        same = name not in {"First name", "Last name", "Date of birth"}
        assert [(one.row, one.column, one.earlier) for one in problems] == [(4, "First name", 2)] * same, name
        assert not same or problem_words(problems[0]).startswith("The same child stands in row 2")
    assert rows() == before


def test_bombs_are_refused_at_the_door_and_leave_nothing(client: Client, cast: Cast) -> None:
    before = dump()
    bombs = {
        FileReason.UNPACKS_TOO_LARGE: packed({"xl/worksheets/sheet1.xml": b"0" * (30 * 1024 * 1024)}),
        FileReason.NOT_READABLE: entity_bomb(),
    }
    for reason, data in bombs.items():
        answer = posted(client, cast, data, "list.xlsx")
        assert answer.status_code == 422 and file_words(reason) in answer.content.decode()
    assert dump() == before


def test_an_id_of_another_club_is_no_answer_to_who_somebody_is(client: Client, cast: Cast) -> None:
    make_person(cast.club, "athlete", given_name="Nandi", family_name="Tern")
    posted(client, cast, as_csv([("Name", "Phone"), ("Nandi Tern", "07700 900100")]))
    draft = RosterDraft.objects.get()
    address = f"/c/{cast.club.slug}/people/roster/{draft.pk}/"
    stamp, before = client.get(address).context["stamp"], dump()
    for stranger in (cast.outsider.person.pk, "nobody", "", cast.assistant.person.pk):
        answer = client.post(address, {"stamp": stamp, "take": ["2"], "answer-2": str(stranger)})
        assert answer.status_code == 422 and "Say first who is meant" in answer.content.decode()
    assert dump() == before


def test_wrong_kinds_of_cells_in_a_workbook_are_named_too(client: Client, cast: Cast) -> None:
    before = rows()
    for column, value in product(range(len(HEADINGS)), (12.5, True)):
        name = HEADINGS[column]
        row = [*FIRST[:column], value, *FIRST[column + 1 :]]
        client.post(
            f"/c/{cast.club.slug}/people/roster/", {"file": SimpleUploadedFile("list.xlsx", xlsx([HEADINGS, row]))}
        )
        problems = queries.reading(RosterDraft.objects.latest("made_at"), club_today(cast.club)).problems
        # "True" is a word, and could be a name. Nobody reads the weight.
        may_be = {"First name", "Last name", "Mother first name", "Mother last name", "Father name", "Squad"}
        if (value is True and name in may_be) or (value == 12.5 and name == "Squad") or name == "Weight":
            continue
        assert [(one.row, one.column) for one in problems] == [(2, name)], (name, value, problems)
    assert rows() == before


def test_a_dropped_column_of_names_is_asked_for_and_other_dropped_columns_are_fine(client: Client, cast: Cast) -> None:
    for column, name in enumerate(HEADINGS):
        table = [tuple(cell for n, cell in enumerate(row) if n != column) for row in (HEADINGS, FIRST, SECOND)]
        data = SimpleUploadedFile("list.csv", as_csv(table))
        client.post(f"/c/{cast.club.slug}/people/roster/", {"file": data})
        draft = measured(RosterDraft.objects.latest("made_at"))
        answer = client.get(f"/c/{cast.club.slug}/people/roster/{draft.pk}/")
        if name == "First name":
            assert answer.status_code == 302 and answer["Location"].endswith("/columns/")
            continue
        problems = {(one.row, one.column) for one in queries.reading(draft, club_today(cast.club)).problems}
        missing = {"Mother first name": "Mother last name", "Father name": "Father phone"}
        assert problems == ({(2, missing[name]), (3, missing[name])} if name in missing else set())


def test_a_roster_of_another_club_cannot_be_seen_or_imported(client: Client, cast: Cast) -> None:
    outsider = Client()
    outsider.force_login(cast.outsider.person)
    client.post(
        f"/c/{cast.club.slug}/people/roster/", {"file": SimpleUploadedFile("list.csv", as_csv([HEADINGS, FIRST]))}
    )
    draft = RosterDraft.objects.get()
    for slug in (cast.club.slug, cast.other_club.slug):
        assert outsider.get(f"/c/{slug}/people/roster/{draft.pk}/").status_code == 404
        assert outsider.post(f"/c/{slug}/people/roster/{draft.pk}/", {"take": ["2"]}).status_code == 404
