"""Files that are refused whole: bombs, wrong kinds, too large."""

import pytest

from athletes.roster_files import MOST_BYTES, MOST_LINES, FileReason, FileRefused, read_file
from tests.athletes.rosters import VALID, as_csv, entity_bomb, packed, xlsx


def refused(data: bytes) -> FileReason:
    with pytest.raises(FileRefused) as raised:
        read_file(data)
    return raised.value.reason


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b"", FileReason.EMPTY),
        (b"\r\n  \n", FileReason.EMPTY),
        (b"\xd0\xcf\x11\xe0" + b"x" * 900, FileReason.OLD_SPREADSHEET),
        (b"PK\x03\x04 not a zip", FileReason.NOT_READABLE),
        (packed({"hello.txt": b"hello"}), FileReason.NOT_READABLE),
        (b"%PDF-1.7 nothing here", FileReason.NO_TABLE),
        (b"Name,Phone\n\x81\x8d\x8f,1\n", FileReason.NOT_READABLE),
        (b"Name,Phone\nNan\x00di,1\n", FileReason.NOT_READABLE),
        (b'Name,Phone\n"Nandi"x,1\n', FileReason.NOT_READABLE),
        (b"just one line", FileReason.NO_TABLE),
        (b"a,b\n" + b"x," * 500, FileReason.TOO_MANY_COLUMNS),
        (b"Name,Phone\n" + b"x" * 5000 + b",1", FileReason.CELL_TOO_LONG),
        (b"n,p\n" * (MOST_LINES + 1), FileReason.TOO_MANY_ROWS),
        (b"x" * (MOST_BYTES + 1), FileReason.TOO_LARGE),
    ],
    ids=lambda value: value.name if isinstance(value, FileReason) else "",
)
def test_a_file_that_is_no_roster_is_refused(data: bytes, reason: FileReason) -> None:
    assert refused(data) is reason


def test_a_zip_bomb_is_refused_by_what_it_declares_before_it_is_unpacked() -> None:
    bomb = packed({"xl/worksheets/sheet1.xml": b"0" * (30 * 1024 * 1024)})
    assert len(bomb) < MOST_BYTES
    assert refused(bomb) is FileReason.UNPACKS_TOO_LARGE


def test_an_archive_of_very_many_parts_is_refused() -> None:
    assert refused(packed({f"part{n}": b"" for n in range(300)})) is FileReason.UNPACKS_TOO_LARGE


def test_a_bomb_of_xml_entities_in_a_workbook_is_refused() -> None:
    assert refused(entity_bomb()) is FileReason.NOT_READABLE


def test_a_sheet_of_a_million_rows_is_refused() -> None:
    assert refused(xlsx([["n", "p"]] * (MOST_LINES + 5))) is FileReason.TOO_MANY_ROWS


def test_the_valid_roster_is_read_however_it_is_named() -> None:
    assert len(read_file(as_csv(VALID))) == len(read_file(xlsx(VALID))) == 3
