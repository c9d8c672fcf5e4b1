"""Generated bad input over the forms and the upload: operators × fields. The answer names the place, and the database
is unchanged to the last row.

The reading of files itself is judged, field by field, in `test_catalogue_bad_input.py`; here it is asked through the
door, with every way in which a file can be harmful.
"""

from collections.abc import Iterator
from typing import Any

import pytest
import yaml
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from drills.core.items import ItemId, Kind
from drills.models import CatalogueDraft, Link
from drills.views.edit import EDITORS
from tests.builders import make_club
from tests.drills.editing import SMALL, Desk, dump, make_desk

HUGE = "x" * 30_000

# One item of each kind that has most of its fields filled in.
ITEMS = {
    Kind.STAGE: "first", Kind.LOAD_CLASS: "box-work", Kind.SAFETY: "look-out", Kind.ADJUSTMENT: "hold-lower",
    Kind.CHECKPOINT: "carry-height", Kind.FAULT: "starts-low", Kind.CAUSE: "pole-heavy",
    Kind.LINK: "pole-heavy>elbow-tucked", Kind.DRILL: "box", Kind.ACTIVITY: "jumping",
}  # fmt: skip

# What may be left out, or has a blank that is as good: dropping it is no mistake.
FREE = {
    "about", "common_practice", "retired", "after", "days_a_week", "landing", "cells", "label", "unsafe", "cues",
    "note", "mend", "mend_note", "dose", "make_easier", "make_harder", "steps", "starts_lowered", "slides", "safety",
    "load", "family", "short", "needs", "gate_2", "checkpoints", "job", "needs_clearance",
}  # fmt: skip
FREE_OF = {Kind.ACTIVITY: {"places"}, Kind.DRILL: {"easier", "gate_1"}}
FREE_STARTS = ("new_", "remedy_", "good_", "from_", "surface_")


@pytest.fixture
def desk(db: None) -> Desk:
    return make_desk()


def address(desk: Desk, item: ItemId) -> str:
    editor = next(editor for editor in EDITORS if editor.kind is item.kind)
    row = item.key
    if item.kind is Kind.LINK:
        row = next(link.pk for link in Link.objects.all() if (link.cause and f"{link.cause.key}>{link.to.key}") == row)
    return reverse(f"edit_{editor.arg}", kwargs={"club": desk.cast.club.slug, editor.arg: row})


def cases(kind: Kind, form: Any, good: dict[str, Any], foreign: str) -> Iterator[tuple[str, str, Any]]:
    """Operator, field, what is sent instead; None: the field is not sent at all."""
    for name, field in form.fields.items():
        free = name in FREE | FREE_OF.get(kind, set()) or name.startswith(FREE_STARTS)
        choice = hasattr(field, "choices")
        if name in good and not free:
            # only a contact drill must have an entry drill, so its kind has to stand
            yield "drop alone" if name == "entry_drill" else "drop", name, None
        if choice:
            yield "no such choice", name, "no-such-thing"
            yield "another club's key", name, foreign
        elif type(field).__name__ == "IntegerField":
            for bad in ("many", "-1", "99999999", "1.5", "1e3"):
                yield f"number {bad}", name, bad
        elif type(field).__name__ == "Numbers":
            for bad in ("six", "-6", "6;8", "0", "6, 6", "99", "1 " * 40):
                yield f"numbers {bad[:6]}", name, bad
        elif type(field).__name__ != "BooleanField":
            yield "huge", name, HUGE
            yield "control character", name, "a\x00b"
            yield "reversed", name, "a\u202eb"
            yield "half a character", name, "a\ud800b"


def batches(kind: Kind, form: Any, good: dict[str, Any], foreign: str) -> Iterator[tuple[str, dict[str, Any]]]:
    """One field at a time; of forms with many fields all those of an operator at once, all of which must be named."""
    together: dict[str, dict[str, Any]] = {}
    for operator, name, bad in cases(kind, form, good, foreign):
        if len(form.fields) > 6:
            together.setdefault(operator, {})[name] = bad
        else:
            yield operator, {name: bad}
    yield from together.items()


def wrong_places(answer: Any) -> tuple[set[str], str]:
    form = answer.context["form"]
    return set(form.errors), " ".join(str(error) for error in form.non_field_errors())


@pytest.mark.parametrize("kind", ITEMS, ids=str)
@pytest.mark.django_db
def test_every_field_of_every_form_is_named_when_it_is_bad(desk: Desk, kind: Kind) -> None:
    other = make_club()
    theirs = make_foreign(other)
    item = ItemId(kind, ITEMS[kind])
    good = desk.form_data(item)
    form = desk.client.get(address(desk, item)).context["form"]
    before, missed, count = dump(), [], 0
    for operator, bad in batches(kind, form, good, theirs):
        sent = {name: value for name, value in {**good, **bad}.items() if value is not None}
        for name in [name for name in bad if name.endswith("_note") and not good.get(name.removesuffix("_note"))]:
            sent[name.removesuffix("_note")] = "adjustment:hold-lower"
        count += len(bad)
        try:
            answer = desk.client.post(address(desk, item), sent)
        except UnicodeEncodeError:
            continue  # half a character cannot be sent as UTF-8 at all
        fields, _others = wrong_places(answer) if answer.status_code == 422 else (set(), "")
        missed += [f"{operator} at {name}: {answer.status_code} {fields}" for name in bad if name not in fields]
        if answer.status_code == 422 and "Nothing is saved yet" not in answer.content.decode():
            missed.append(f"{operator}: not said on the page")
    assert not missed, "\n".join(missed)
    assert dump() == before and count >= 5


def make_foreign(club: Any) -> str:
    """A key that only another club has, of every kind that a form can choose."""
    from drills.models import Adjustment, Cause, Checkpoint, LoadClass, SafetyText, Stage

    key = "only-elsewhere"
    Stage.objects.create(club=club, key=key, number=1, name="Theirs")
    load = {"reps_a_practice": 1, "reps_a_practice_under_14": 1}
    LoadClass.objects.create(club=club, key=key, name="Theirs", **load)
    SafetyText.objects.create(club=club, key=key, title="Theirs", text="Theirs")
    Adjustment.objects.create(club=club, key=key, name="Theirs", how="Theirs")
    Cause.objects.create(club=club, key=key, name="Theirs")
    Checkpoint.objects.create(club=club, key=key, name="Theirs", phase="drop", good="Theirs", seen_from=["side"])
    return key


@pytest.mark.parametrize("kind", [Kind.DRILL, Kind.CHECKPOINT, Kind.FAULT, Kind.SAFETY], ids=str)
@pytest.mark.django_db
def test_an_item_of_another_club_is_not_found(desk: Desk, kind: Kind) -> None:
    other = make_desk()
    before = dump()
    item = ItemId(kind, ITEMS[kind])
    url = address(desk, item).replace(desk.cast.club.slug, other.cast.club.slug)
    assert desk.client.post(url, desk.form_data(item, name="Taken")).status_code == 404
    assert dump() == before


# ── the upload ───────────────────────────────────────────────────────────────────────────────────────────────────────

BOMB = b"a: &a [x,x,x,x,x,x,x,x,x]\n" + b"".join(
    f"{chr(98 + n)}: &{chr(98 + n)} [{','.join('*' + chr(97 + n) for _ in range(9))}]\n".encode() for n in range(9)
)
PLAIN = SMALL.decode()
FILES: dict[str, tuple[bytes, int, str]] = {
    "alias bomb": (BOMB, 1, "anchors are not allowed"),
    "an alias": (PLAIN.replace("name: A small catalogue", "name: *there").encode(), 4, ""),
    "an object": (PLAIN.replace("A small catalogue", "!!python/object/apply:os.system [ls]").encode(), 4, "tags are"),
    "too large": (SMALL + b"# " + b"x" * 600_000, 1, "larger than 512 KiB"),
    "not UTF-8": (SMALL.replace(b"To carry.", b"To c\xe4rry."), 0, "not UTF-8"),
    "UTF-16": (PLAIN.encode("utf-16"), 0, "not UTF-8"),
    "binary": (b"PK\x03\x04" + bytes(range(256)), 0, ""),
    "a null": (SMALL.replace(b"To carry.", b"To c\x00rry."), 0, ""),
    "nothing": (b"", 1, ""),
    "a comment": (b"# nothing\n", 1, ""),
    "a list": (b"- format: 1\n", 1, "must be a group of named fields"),
    "deep": (b"a: " + b"[" * 5000, 1, ""),
    "many values": (b"a:\n" + b" - 1\n" * 50_000, 0, "more values than a catalogue can have"),
    "two documents": (SMALL + b"\n---\n" + SMALL, 0, "several documents"),
    "unclosed": (b"format: 1\nname: 'open\n", 0, "not readable as YAML"),
    "tabs": (b"format: 1\n\tname: x\n", 2, "not readable as YAML"),
    "another club's draft": (b"club: elsewhere\n" + SMALL, 1, "no such field"),
    "another format": (SMALL.replace(b"format: 1", b"format: 2"), 2, "must be 1"),
    "key twice": (SMALL + b"name: Again\n", 0, "a second time"),
}


@pytest.mark.parametrize("name", FILES)
@pytest.mark.django_db
def test_a_harmful_file_is_refused_and_says_where(desk: Desk, name: str) -> None:
    data, line, reason = FILES[name]
    before = dump()
    answer = desk.post("catalogue/import/", {"file": SimpleUploadedFile("a.yaml", data)})
    assert answer.status_code == 422 and dump() == before and not CatalogueDraft.objects.exists()
    problems = answer.context["problems"]
    assert problems and all(problem.line >= 1 for problem, _reason in problems)
    if line:
        assert line in {problem.line for problem, _reason in problems}
    assert any(reason in said for _problem, said in problems), problems


def every_place(value: Any, place: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    parts = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, part in parts:
        yield (*place, name)
        yield from every_place(part, (*place, name))


@pytest.mark.django_db
def test_every_field_of_a_file_spoilt_at_once_is_named_in_one_answer(desk: Desk) -> None:
    """Each text, number and truth of the file is another type; the door names every one of these places."""
    value = yaml.safe_load(SMALL)
    spoilt = [place for place in every_place(value) if not isinstance(_at(value, place), list | dict)]
    for place in spoilt:
        _at(value, place[:-1])[place[-1]] = {"bad": 1}
    before = dump()
    source = yaml.safe_dump(value, sort_keys=False).encode()
    answer = desk.post("catalogue/import/", {"file": SimpleUploadedFile("a.yaml", source)})
    assert answer.status_code == 422 and dump() == before
    shown = {problem.path for problem, _reason in answer.context["problems"]}
    wanted = {_spelled(place) for place in spoilt}
    assert wanted <= shown, sorted(wanted - shown)[:10]
    assert len(spoilt) > 100


def _at(value: Any, place: tuple[Any, ...]) -> Any:
    for part in place:
        value = value[part]
    return value


def _spelled(place: tuple[Any, ...]) -> str:
    text = ""
    for part in place:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if text else str(part)
    return text
