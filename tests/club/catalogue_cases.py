"""What the pages that change the catalogue need in the world of the access tests: objects, and valid bodies."""

from collections.abc import Callable, Mapping
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from club.members import Member
from club.models import Club
from club.roles import Permission, Role
from drills import actions, queries
from drills.core.items import Fields, ItemId, Kind, catalogue_of
from drills.core.reading import write_catalogue
from drills.forms import ItemForm
from drills.models import (
    Activity,
    Adjustment,
    CatalogueCover,
    CatalogueDraft,
    CatalogueEdition,
    Cause,
    Checkpoint,
    Link,
    LoadClass,
    SafetyText,
    Stage,
)
from drills.shipped import edition_waiting
from drills.views.edit import BY_KIND, EDITORS

Data = dict[str, Any]


def reader(club: Club) -> Member:
    """Somebody who reads all of the club's catalogue; no row of anybody is needed for that."""
    member = Member(club=club, person=None, roles=frozenset({Role.HEAD_COACH}))  # type: ignore[arg-type]
    return member.acting(Permission.CATALOGUE_EDIT)


def put_catalogue(world: Any, club: Club, prefix: str) -> None:
    """One of each kind beside the drill and the checkpoint that are there, and a file that waits to be chosen from."""
    name = "elsewhere_item" if prefix else "ours"
    point: Checkpoint = world.parts[f"{prefix}checkpoint"]
    late, early = point.faults.order_by("order")[:2]
    where = _where(prefix)
    CatalogueCover.objects.create(club=club, name="Drop and plant", version=1)
    Stage.objects.filter(club=club).update(key=f"{where}walking")
    world.put("stage", name, Stage.objects.get(club=club))
    world.put("checkpoint", name, point)
    world.put("fault", name, late)
    load = {"reps_a_practice": 16, "reps_a_practice_under_14": 8}
    world.put("load_class", name, LoadClass.objects.create(club=club, key=f"{where}runs", name="Runs", **load))
    text = {"title": "Look out", "text": "Look before you move."}
    world.put("safety_text", name, SafetyText.objects.create(club=club, key=f"{where}look-out", **text))
    lower = Adjustment.objects.create(club=club, key=f"{where}hold-lower", name="Hold lower", how="Both hands down.")
    world.put("adjustment", name, lower)
    world.put("cause", name, Cause.objects.create(club=club, key=f"{where}heavy", name="Pole heavy"))
    world.put("catalogue_link", name, Link.objects.create(club=club, fault=late, to=early))
    jog = {"about": "Jog.", "minutes": 10, "areas": ["floor"], "adult": "none", "poles": "none"}
    world.put("activity", name, Activity.objects.create(club=club, key=f"{where}warm-up", name="Warm-up", **jog))
    draft = CatalogueDraft.objects.create(club=club, made_at=timezone.now(), source=changed_file(club))
    world.put("draft", name, draft)
    base = write_catalogue(queries.catalogue(reader(club)))
    CatalogueEdition.objects.create(club=club, version=0, loaded_at=timezone.now(), source=base)


def changed_file(club: Club) -> str:
    """The club's catalogue as a file, one number changed."""
    items = queries.items(reader(club))
    warm_up = next(item for item in items if item.kind is Kind.ACTIVITY)
    items[warm_up]["minutes"] = 12
    return write_catalogue(catalogue_of(items))


def in_their_own_words(world: Any) -> None:
    """The waiting files say what the rows say now."""
    for draft in CatalogueDraft.objects.all():
        CatalogueDraft.objects.filter(pk=draft.pk).update(source=changed_file(draft.club))


# ── bodies ───────────────────────────────────────────────────────────────────────────────────────────────────────────


def posted(form: ItemForm, **changes: Any) -> Data:
    """What a browser sends when somebody opens this form, changes these fields and saves."""
    data: Data = {"read": form.read}
    for name, field in form.fields.items():
        value = field.prepare_value(form.get_initial_for_field(field, name))
        if value is not None and value is not False:
            data[name] = "on" if value is True else value
    return {**data, **changes}


def edit_data(club: Club, item: ItemId, **changes: Any) -> Data:
    return posted(BY_KIND[item.kind].form(items=queries.items(reader(club)), item=item), **changes)


def new_data(club: Club, kind: Kind, **changes: Any) -> Data:
    return posted(BY_KIND[kind].form(items=queries.items(reader(club))), **changes)


CHANGED: Mapping[Kind, Fields] = {
    Kind.SAFETY: {"title": "Look twice"},
    Kind.LINK: {"note": "The hand is late already."},
}
NEW: Mapping[Kind, Callable[[Any, str], Fields]] = {
    Kind.STAGE: lambda w, p: {"name": "Later", "number": 9},
    Kind.LOAD_CLASS: lambda w, p: {"name": "Box", "reps_a_practice": 9, "reps_a_practice_under_14": 5, "rest_days": 0},
    Kind.SAFETY: lambda w, p: {"title": "Wet", "text": "Nobody runs."},
    Kind.ADJUSTMENT: lambda w, p: {"name": "Slower", "how": "Walk it."},
    Kind.CHECKPOINT: lambda w, p: {"name": "tip", "phase": "plant", "good": "High.", "seen_from": ["side"],
                                   "fault_1_name": "tip low"},
    Kind.FAULT: lambda w, p: {"name": "drop skipped"},
    Kind.CAUSE: lambda w, p: {"name": "Wind"},
    Kind.LINK: lambda w, p: {"source": f"cause:{_where(p)}heavy", "to": w.parts[f"{p}checkpoint"].faults.first().key},
    Kind.DRILL: lambda w, p: {"name": "Jogging drop", "stage": f"{_where(p)}walking", "purpose": "To jog.",
                              "setup": "A floor.", "how": "Jog.", "phases": ["drop"],
                              "gate_1": w.parts[f"{p}checkpoint"].key},
    Kind.ACTIVITY: lambda w, p: {"name": "Film", "about": "Look.", "minutes": 10, "areas": ["room"]},
}  # fmt: skip


def _where(prefix: str) -> str:
    return prefix.replace("_", "-")


def _club(world: Any, prefix: str) -> Club:
    return world.other if prefix else world.club


def _edit_body(kind: Kind) -> Callable[[Any, str, tuple[str, ...]], Data]:
    def make(world: Any, prefix: str, target: tuple[str, ...]) -> Data:
        club, arg = _club(world, prefix), BY_KIND[kind].arg
        row = world.objects[arg][target[0]]
        if row.club_id != club.pk:  # an object of the other club, asked for here: whatever is sent
            return {"name": "Taken"}
        return edit_data(club, queries.item_id(row), **CHANGED.get(kind, {"name": "Another name"}))

    return make


def _new_body(kind: Kind) -> Callable[[Any, str, tuple[str, ...]], Data]:
    def make(world: Any, prefix: str, target: tuple[str, ...]) -> Data:
        return new_data(_club(world, prefix), kind, **NEW[kind](world, prefix))

    return make


def _cover(world: Any, prefix: str, target: tuple[str, ...]) -> Data:
    from drills.forms import CoverForm

    return posted(CoverForm(items=queries.items(reader(_club(world, prefix)))), name="Another name")


def _draft(world: Any, prefix: str, target: tuple[str, ...]) -> Data:
    row = world.objects["draft"][target[0]]
    comparison = actions.compare_draft(reader(row.club), row)
    return {"read": comparison.read, "take": sorted(comparison.proposed)}


def _edition(world: Any, prefix: str, target: tuple[str, ...]) -> Data:
    waiting = edition_waiting(reader(_club(world, prefix)))
    assert waiting is not None
    comparison = actions.compare_edition(reader(_club(world, prefix)), waiting.base.source, {})
    return {"read": comparison.read}


def _file(world: Any, prefix: str, target: tuple[str, ...]) -> Data:
    return {"file": SimpleUploadedFile("catalogue.yaml", changed_file(_club(world, prefix)).encode())}


BODIES: dict[str, Callable[[Any, str, tuple[str, ...]], Data]] = {
    **{f"edit_{editor.arg}": _edit_body(editor.kind) for editor in EDITORS},
    **{f"new_{editor.arg}": _new_body(editor.kind) for editor in EDITORS},
    "edit_cover": _cover,
    "import_catalogue": _file,
    "catalogue_draft": _draft,
    "catalogue_edition": _edition,
}
