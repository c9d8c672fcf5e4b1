"""Rosters as files, for tests: in the shapes that coaches really have. Nobody in them exists."""

import csv
import io
import zipfile
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any
from xml.sax.saxutils import escape

from openpyxl import Workbook

from athletes.models import RosterDraft

# A hand-written list of a club on the continent: semicolons, a BOM, day first, decimal commas, names in one column.
SEMICOLONS = (
    "\ufeffVereinsliste 2026;;;;;;\r\n"
    "\r\n"
    "Name;Geburtsdatum;Händigkeit;Größe;Gruppe;Mutter;Mutter Telefon\r\n"
    "Kestrel, Nandi;25.03.2011;rechts;1,62;Terns;Thandi Kestrel;+44 7700 900101\r\n"
    "Vinter, Eero;04.05.2010;links;1,71 m;Terns;Aino Vinter;07700 900102\r\n"
    ";;;;;;\r\n"
    "Mallow, Saoirse;02.11.2009;;168 cm;Swifts;;\r\n"
).encode()


def merged_headings() -> bytes:
    """A workbook with a title, a blank line and merged headings over two parents; real dates; feet and inches."""
    book = Workbook()
    sheet = book.active
    sheet.append(["Ternfield vaulters, spring", *[None] * 9])
    sheet.append([])
    sheet.append(["Athlete", None, "Born", "Hand", "Height", "Parent 1", None, None, "Parent 2", None])
    sheet.append(["First", "Last", None, None, None, "Name", "Mobile", "E-mail", "Name", "E-mail"])
    sheet.append(["Tomasz", "Wicker", datetime(2010, 9, 30), "R", "5'6\"", "Ewa Wicker", "07700 900110",
                  "ewa@mail.example", "Jan Wicker", "jan@mail.example"])  # fmt: skip
    sheet.append(
        ["Mireille", "Tansy", date(2012, 1, 8), "R", "5 ft 1 1/2 in", "Luc Tansy", 7700900111, None, None, None]
    )
    sheet.append([])
    sheet.append(["Leif", "Alder", date(2008, 12, 1), "L", "5'11\"", None, None, None, "Sigrid Alder",
                  "sigrid@mail.example"])  # fmt: skip
    for span in ("A1:J1", "A3:B3", "C3:C4", "D3:D4", "E3:E4", "F3:H3", "I3:J3"):
        sheet.merge_cells(span)
    return saved(book)


def saved(book: Workbook) -> bytes:
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def xlsx(rows: Sequence[Sequence[Any]]) -> bytes:
    book = Workbook(write_only=True)
    sheet = book.create_sheet()
    for row in rows:
        sheet.append(list(row))
    return saved(book)


def inline_workbook(rows: Sequence[Sequence[str]]) -> bytes:
    """A workbook that no library wrote: inline strings and no styles, as plain exporters write it."""
    lines = "".join(
        f'<row r="{n}">' + "".join(f'<c t="inlineStr"><is><t>{escape(cell)}</t></is></c>' for cell in row) + "</row>"
        for n, row in enumerate(rows, start=1)
    )
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    rel = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    package = "http://schemas.openxmlformats.org/package/2006"
    kinds = "application/vnd.openxmlformats-officedocument.spreadsheetml"
    parts = {
        "[Content_Types].xml": f'<Types xmlns="{package}/content-types"><Default Extension="rels" '
        'ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" '
        f'ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="{kinds}.sheet.main+xml"/>'
        f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{kinds}.worksheet+xml"/></Types>',
        "_rels/.rels": f'<Relationships xmlns="{package}/relationships"><Relationship Id="rId1" '
        f'Type="{rel}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{main}" xmlns:r="{rel}"><sheets><sheet name="List" sheetId="1" '
        'r:id="rId1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{package}/relationships"><Relationship Id="rId1" '
        f'Type="{rel}/worksheet" Target="worksheets/sheet1.xml"/></Relationships>',
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{main}"><sheetData>{lines}</sheetData></worksheet>',
    }
    return packed({name: f'<?xml version="1.0" encoding="UTF-8"?>{text}'.encode() for name, text in parts.items()})


def packed(parts: dict[str, bytes]) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return file.getvalue()


def measured(draft: RosterDraft, on: date = date(2026, 3, 2)) -> RosterDraft:
    """The draft with the day of its heights and reaches said."""
    draft.choices["measured_on"] = on.isoformat()
    draft.save(update_fields=["choices"])
    return draft


def as_csv(rows: Sequence[Sequence[str]], delimiter: str = ",") -> bytes:
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=delimiter).writerows(rows)
    return text.getvalue().encode()


# One valid roster that the bad ones are made of: every kind of column, two parents.
HEADINGS = ("First name", "Last name", "Date of birth", "Hand", "Squad", "E-mail", "Phone", "Height", "Reach", "Weight",
            "Mother first name", "Mother last name", "Mother e-mail", "Mother phone",
            "Father name", "Father phone")  # fmt: skip
FIRST = ("Nandi", "Kestrel", "2011-03-25", "right", "Terns", "nandi@mail.example", "07700 900100", "1.62 m", "2.05 m",
         "51.5", "Thandi", "Kestrel", "thandi@mail.example", "07700 900101", "Ben Kestrel", "07700 900109")  # fmt: skip
SECOND = ("Eero", "Vinter", "2010-05-04", "left", "Swifts", "eero@mail.example", "07700 900103", "1.71 m", "2.15 m",
          "60", "Aino", "Vinter", "aino@mail.example", "07700 900102", "Olavi Vinter", "07700 900108")  # fmt: skip
VALID = (HEADINGS, FIRST, SECOND)


def entity_bomb() -> bytes:
    """A workbook whose one cell is made of entities of entities, nine deep."""
    entities = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10 if n else "ha"}">' for n in range(9))
    with zipfile.ZipFile(io.BytesIO(inline_workbook(VALID))) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    sheet = parts["xl/worksheets/sheet1.xml"].decode()
    head, _, rest = sheet.partition("?>")
    parts["xl/worksheets/sheet1.xml"] = f"{head}?><!DOCTYPE x [{entities}]>{rest.replace('Nandi', '&e8;', 1)}".encode()
    return packed(parts)
