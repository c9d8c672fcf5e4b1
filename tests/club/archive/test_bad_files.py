"""Bad archives: refused whole, with line, place and reason; the installation stays empty."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.db import models

from athletes.models import Decision
from club import archive
from club.archive import Refused, contents, core, values
from club.models import Club, Person
from tests.builders import DAY, aware
from tests.club.archive.taking import Line, changed, installation_without_a_club, lines_of, saved, taken, text_of
from tests.club.asking import dump
from tests.drills.editing import make_desk
from tests.sessions.trends.generated_club import GeneratedClub

pytestmark = pytest.mark.django_db


@pytest.fixture
def source(db: None) -> bytes:
    """A club with a catalogue, people and a few reps."""
    desk = make_desk()
    return taken(desk.cast.club)


def refused(folder: Path, content: bytes) -> Refused:
    """What is said of it; nothing may be left in the database."""
    with installation_without_a_club():
        before = dump()
        with pytest.raises(Refused) as said:
            archive.load(saved(folder, content))
        assert dump() == before
    return said.value


def first_of(lines: list[Line], model: str) -> Line:
    return next(line for line in lines if line.get("model") == model)["fields"]


def test_the_file_itself_is_good(source: bytes, tmp_path: Path) -> None:
    with installation_without_a_club():
        assert taken(archive.load(saved(tmp_path, source))) == source


@pytest.mark.parametrize("part", [0.0, 0.1, 0.5, 0.9, 0.999])
def test_a_file_that_was_cut_off(source: bytes, tmp_path: Path, part: float) -> None:
    said = refused(tmp_path, source[: int(len(source) * part)])
    assert re.search("ends too early|middle of a line|not JSON", str(said))


def test_a_file_that_was_cut_off_after_a_line(source: bytes, tmp_path: Path) -> None:
    said = refused(tmp_path, b"".join(source.splitlines(keepends=True)[:-1]))
    assert "ends too early" in str(said)


def lose_a_row(lines: list[Line]) -> None:
    lines.remove(next(line for line in lines if line.get("model") == "drills.remedy"))


def name_nobody(lines: list[Line]) -> None:
    first_of(lines, "athletes.athlete")["person"] = str(uuid4())


def need_oneself(lines: list[Line]) -> None:
    """carry needs box, which needs carry."""
    drills = {line["fields"]["key"]: line["fields"]["id"] for line in lines if line.get("model") == "drills.drill"}
    need = {"id": 900, "drill": drills["carry"], "needed": drills["box"], "order": 0}
    lines.insert(-1, {"model": "drills.need", "fields": need})
    lines[-1]["rows"]["drills.need"] += 1


def twice(lines: list[Line]) -> None:
    row = next(line for line in lines if line.get("model") == "drills.checkpoint")
    lines.insert(lines.index(row) + 1, json.loads(json.dumps(row)))
    lines[-1]["rows"]["drills.checkpoint"] += 1


def without_a_head_coach(lines: list[Line]) -> None:
    for line in lines:
        if line.get("model") == "club.membership" and line["fields"]["role"] == "head_coach":
            line["fields"]["role"] = "assistant"


def bring_figures(lines: list[Line]) -> None:
    lines.insert(-1, {"model": "athletes.readiness", "fields": {"id": 1}})


def sign_in(lines: list[Line]) -> None:
    first_of(lines, "club.person")["password"] = "pbkdf2_sha256$1$a$b"


def spoil_phases(lines: list[Line]) -> None:
    first_of(lines, "drills.drill")["phases"] = ["sideways"]


def nest(lines: list[Line]) -> None:
    deep: Any = "x"
    for _ in range(200):
        deep = [deep]
    first_of(lines, "drills.drill")["how"] = deep


CHANGES: dict[str, tuple[Callable[[list[Line]], Any], str]] = {
    "another format": (lambda lines: lines[0].update(format="catalogue"), r"line 1, format: .*no archive"),
    "a later version": (lambda lines: lines[0].update(version=2), "line 1, version: .*reads version 1"),
    "no version": (lambda lines: lines[0].pop("version"), "line 1, version"),
    "more in the header": (lambda lines: lines[0].update(made="today"), "line 1, 'made': is not known"),
    "a club without a name": (lambda lines: lines[0]["club"].pop("name"), "line 1, name: is missing"),
    "an unknown model": (lambda lines: lines.insert(5, {"model": "club.heartbeat", "fields": {}}), "line 6, model"),
    "figures": (bring_figures, "model: 'athletes.readiness' is not known"),
    "a password": (sign_in, "line 2, 'password': is not known"),
    "a club's id in a row": (
        lambda lines: first_of(lines, "drills.stage").update(club=str(uuid4())),
        "'club': is not known",
    ),
    "a lost row": (lose_a_row, "not hold as many rows .*drills.remedy"),
    "a row twice": (twice, r"line \d+, drills.checkpoint: does not go with"),
    "a line after the end": (lambda lines: lines.append(lines[3]), "after the line that ends the file"),
    "an id of nobody": (name_nobody, r"line \d+, athletes.athlete.person: names .* not in this file"),
    "a circle of needs": (need_oneself, "needs itself in a circle|needs"),
    "a phase that does not exist": (spoil_phases, "sideways"),
    "nobody to lead it": (without_a_head_coach, "head coach"),
    "much too deep": (nest, "drills.drill.how: nests more than 60"),
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_file_with(name: str, source: bytes, tmp_path: Path) -> None:
    change, wanted = CHANGES[name]
    said = str(refused(tmp_path, changed(source, change)))
    assert re.search(wanted, said), said


RAW: dict[str, tuple[bytes, str]] = {
    "not UTF-8": (b'{"model": "club.person\xff"}', "is not UTF-8"),
    "no JSON": (b"{model: 1}", "is not JSON"),
    "a list": (b"[1, 2]", "must be an object"),
    "a name twice": (b'{"model": "a", "model": "b", "fields": {}}', "twice"),
    "no number": (b'{"model": "a", "fields": {"n": NaN}}', "NaN is not a number"),
    "a number too large": (b'{"model": "a", "fields": {"n": 1e999}}', "too large"),
    "a million digits": (b'{"model": "a", "fields": {"n": ' + b"9" * 1_000_000 + b"}}", "is not JSON"),
    "a hundred thousand lists": (b"[" * 100_000, "nests more than"),
    "an endless line": (b'"' + b"x" * (core.LONGEST + 1), "is longer than"),
}


@pytest.mark.parametrize("name", RAW)
def test_a_line_that_is(name: str, source: bytes, tmp_path: Path) -> None:
    line, wanted = RAW[name]
    lines = source.splitlines(keepends=True)
    said = refused(tmp_path, b"".join([*lines[:3], line + b"\n", *lines[3:]]))
    assert said.line == 4 and wanted in str(said)


def test_a_decision_that_takes_back_what_takes_back(tmp_path: Path) -> None:
    club = GeneratedClub(3)
    values_ = {"club": club.club, "athlete": club.athletes[0], "drill": club.drills[0], "day": DAY, "at": aware(DAY)}
    made = Decision.objects.create(**values_, kind="keep on")
    back = Decision.objects.create(**values_, kind="taken back", takes_back=made)

    def again(lines: list[Line]) -> None:
        for line in lines:
            if line.get("model") == "athletes.decision" and line["fields"]["id"] == str(made.pk):
                line["fields"].update(kind="taken back", takes_back=str(back.pk))

    assert "takes back what it cannot" in str(refused(tmp_path, changed(taken(club.club), again)))


# ── every field of every model ───────────────────────────────────────────────────────────────────────────────────────


def spoilt(field: models.Field) -> list[Any]:
    """Values that the field cannot hold."""
    kind = values.kind_of(field)
    wrong: dict[str, list[Any]] = {
        "json": ["\ud800", {"a": "\0"}],
        "truth": [1, "true", []],
        "whole": ["1", 1.0, True, 2**70, []],
        "float": ["1.0", True, {}],
        "text": [1, ["a"], "\0", "\udc00"],
        "uuid": ["x", 7, "'; DROP TABLE club_club"],
        "moment": ["2026-03-02", "2026-03-02T10:00:00+01:00", "tomorrow", 0],
        "date": ["2026-02-30", "02/03/2026", 20260302],
        "time": ["25:00", 17],
        "span": ["1", 2**70],
        "decimal": ["1,5", 1.5, "NaN", "1e5", "9" * 40],
    }
    found = wrong[kind] + ([] if field.null else [None])
    limit = field.max_length if isinstance(field, models.CharField) else None  # no database keeps a longer one
    return found + (["x" * (limit + 1)] if kind == "text" and limit else [])


def good(field: models.Field) -> Any:
    if field.null:
        return None
    if field.choices:
        return field.flatchoices[0][0]
    if isinstance(field, models.EmailField):
        return "a@example.org"
    return {
        "json": {}, "truth": False, "whole": 1, "float": 0.5, "text": "a", "uuid": str(uuid4()), "span": 0,
        "moment": "2026-03-02T10:00:00.000000Z", "date": "2026-03-02", "time": "17:30:00", "decimal": "1.00",
    }[values.kind_of(field)]  # fmt: skip


def test_no_field_of_any_model_takes_what_it_cannot_hold(source: bytes, tmp_path: Path) -> None:
    """One line too many for each model, field and wrong value: refused at that line and field."""
    header = lines_of(source)[0]
    count = 0
    for model in contents.kept_models():
        name, fields = contents.name_of(model), contents.kept_fields(model)
        row = {field.name: good(field) for field in fields}
        for field in fields:
            wrong = [{**row, field.name: value} for value in spoilt(field)]
            wrong += [{name: value for name, value in row.items() if name != field.name}]
            for one in wrong:
                with pytest.raises(Refused) as said:
                    _first_row(text_of([header, {"model": name, "fields": one}, {"rows": {name: 1}}]), tmp_path)
                assert said.value.line == 2 and said.value.where.split(".")[-1] == field.name, (said.value, one)
                count += 1
    assert count > 1500 and not Person.objects.filter(given_name="a").exists()
    print(f"{count} wrong values")


def _first_row(content: bytes, folder: Path) -> None:
    """As ``load`` reads it, without a transaction for each."""
    from club.archive import loading

    with open(saved(folder, content), "rb") as file:
        club = Club(pk=uuid4())
        core.header_of(loading._first(file))
        for model, rows in loading._by_model(loading._models_known(core.rows_of(loading._lines(file)))):
            for row in rows:
                loading._made(club, model, row)
