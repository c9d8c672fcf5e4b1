"""A new edition of the shipped catalogue: nothing of the club's is lost, each conflict is shown, the choice is kept."""

import copy
from pathlib import Path
from typing import Any

import pytest
import yaml

from club.models import AuditEntry
from drills import shipped
from drills.actions import store_items
from drills.core.items import ItemId, Kind, stamp
from drills.models import CatalogueEdition
from drills.shipped import edition_waiting
from tests.drills.editing import Desk, make_desk

pytestmark = pytest.mark.django_db

FIRST = yaml.safe_load(shipped.SHIPPED.read_bytes())


def item(plain: dict[str, Any], section: str, key: str) -> dict[str, Any]:
    return next(one for one in plain[section] if one["key"] == key)


def second_edition() -> dict[str, Any]:
    """Seven items changed; carry-walk and the fault "drop late" are those that the club changes as well."""
    plain = copy.deepcopy(FIRST)
    plain["version"] = 2  # the cover is one of the seven
    item(plain, "drills", "carry-walk")["purpose"] = "Shipped: walk tall."
    drop_start = item(plain, "checkpoints", "drop-start")
    next(one for one in drop_start["faults"] if one["key"] == "drop-starts-late")["cues"] = ["Shipped: sooner."]
    item(plain, "drills", "standing-drop")["dose"] = "Shipped: eight."
    item(plain, "safety", "wet")["text"] = "Shipped: when it is wet, nobody runs at a box."
    item(plain, "adjustments", "slower")["how"] = "Shipped: walk what was run."
    plain["drills"].append({**copy.deepcopy(item(plain, "drills", "carry-walk")), "key": "carry-jog",
                            "name": "Carry jog", "short": "Carry jog", "needs": ["carry-walk"]})  # fmt: skip
    return plain


@pytest.fixture
def desk(db: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Desk:
    """A club that has edited five items of the first edition, and the second one shipped."""
    desk = make_desk(shipped.SHIPPED.read_bytes())
    items = desk.items()
    for kind, key, change in OURS:
        items[ItemId(kind, key)] = {**items[ItemId(kind, key)], **change}
    store_items(by=desk.coach, items=items, read=stamp(desk.items()))
    AuditEntry.objects.all().delete()
    file = tmp_path / "catalogue.yaml"
    file.write_text(yaml.safe_dump(second_edition(), sort_keys=False, allow_unicode=True), encoding="utf-8")
    monkeypatch.setattr(shipped, "SHIPPED", file)
    return desk


OURS: list[tuple[Kind, str, dict[str, Any]]] = [
    (Kind.DRILL, "carry-walk", {"purpose": "Ours: carry it like nothing.", "dose": "Ours: four lengths."}),
    (Kind.FAULT, "drop-starts-late", {"cues": ["Ours: now."]}),
    (Kind.DRILL, "wall-plant", {"setup": "Ours: the wall behind the pit."}),
    (Kind.SAFETY, "runway", {"title": "Ours: on the runway"}),
    (Kind.STAGE, "walking", {"name": "Ours: at a walk"}),
]


def values_of(desk: Desk) -> dict[str, Any]:
    items = desk.items()
    return {
        "walk": items[ItemId(Kind.DRILL, "carry-walk")]["purpose"],
        "walk dose": items[ItemId(Kind.DRILL, "carry-walk")]["dose"],
        "late": items[ItemId(Kind.FAULT, "drop-starts-late")]["cues"],
        "wall": items[ItemId(Kind.DRILL, "wall-plant")]["setup"],
        "runway": items[ItemId(Kind.SAFETY, "runway")]["title"],
        "walking": items[ItemId(Kind.STAGE, "walking")]["name"],
        "wet": items[ItemId(Kind.SAFETY, "wet")]["text"],
        "slower": items[ItemId(Kind.ADJUSTMENT, "slower")]["how"],
        "jog": ItemId(Kind.DRILL, "carry-jog") in items,
    }


OUR_WORDS = {
    "walk": "Ours: carry it like nothing.", "walk dose": "Ours: four lengths.", "late": ["Ours: now."],
    "wall": "Ours: the wall behind the pit.", "runway": "Ours: on the runway", "walking": "Ours: at a walk",
}  # fmt: skip


def choose(desk: Desk, more: tuple[str, ...] = (), less: tuple[str, ...] = ()) -> Any:
    page = desk.get("catalogue/edition/")
    lines = [one for kind in page.context["kinds"] for one in kind.items]
    ticked = {one.choice for one in lines if one.taken} | {f.choice for one in lines for f in one.fields if f.taken}
    take = sorted((ticked | set(more)) - set(less) - {""})
    return desk.post("catalogue/edition/", {"read": page.context["read"], "take": take})


def test_seven_items_are_asked_about_and_the_two_conflicts_show_both_texts(desk: Desk) -> None:
    assert edition_waiting(desk.coach) is not None
    page = desk.get("catalogue/edition/")
    lines = [one for kind in page.context["kinds"] for one in kind.items]
    assert len(lines) == 7
    disputed = {one.name: one.fields for one in lines if one.disputed}
    assert set(disputed) == {"drill Carry walk", "fault drop starts late"}
    (walk,) = disputed["drill Carry walk"]
    assert walk.ours == ["Ours: carry it like nothing."] and walk.theirs == ["Shipped: walk tall."] and not walk.taken
    assert walk.base == [item(FIRST, "drills", "carry-walk")["purpose"]]
    text = page.content.decode()
    assert all(words in text for words in ("Ours: now.", "Shipped: sooner.", "You changed this as well."))
    assert "Ours: the wall behind the pit." not in text  # only the club changed it: nothing to ask


def test_taken_as_proposed_nothing_of_the_clubs_is_lost_and_all_that_is_free_comes_in(desk: Desk) -> None:
    assert choose(desk).status_code == 302
    got = values_of(desk)
    assert {name: got[name] for name in OUR_WORDS} == OUR_WORDS
    assert got["wet"].startswith("Shipped") and got["slower"].startswith("Shipped") and got["jog"]


def test_each_choice_is_kept_and_not_asked_again(desk: Desk) -> None:
    choose(desk, more=("drills/carry-walk#purpose",), less=("safety/wet", "drills/carry-jog"))
    got = values_of(desk)
    assert got["walk"] == "Shipped: walk tall." and got["walk dose"] == "Ours: four lengths."
    assert got["late"] == ["Ours: now."] and not got["wet"].startswith("Shipped") and not got["jog"]
    assert edition_waiting(desk.coach) is None
    assert "Nothing waits" in desk.get("catalogue/edition/").content.decode()
    assert list(CatalogueEdition.objects.order_by("version").values_list("version", flat=True)) == [1, 2]


def test_a_later_edition_asks_only_about_what_it_changes_itself(desk: Desk) -> None:
    choose(desk, less=("safety/wet",))
    third = second_edition() | {"version": 3}
    item(third, "drills", "standing-drop")["dose"] = "Shipped again: ten."
    shipped.SHIPPED.write_text(yaml.safe_dump(third, sort_keys=False, allow_unicode=True), encoding="utf-8")
    lines = [one for kind in desk.get("catalogue/edition/").context["kinds"] for one in kind.items]
    assert {one.name for one in lines} == {"the catalogue itself", "drill Standing drop"}


def test_the_pages_say_that_an_edition_waits_to_head_coaches_alone(desk: Desk) -> None:
    assert "A newer edition is there" in desk.get("drills/").content.decode()
    assert "Edition 2 of the shipped catalogue is there." in desk.get("catalogue/").content.decode()
    desk.client.force_login(desk.cast.assistant.person, backend="allauth.account.auth_backends.AuthenticationBackend")
    assert "A newer edition is there" not in desk.get("drills/").content.decode()


def test_choices_that_do_not_fit_are_refused_whole(desk: Desk) -> None:
    broken = second_edition()
    broken["stages"].append({"key": "jogging", "number": 8, "name": "Jogging"})
    item(broken, "drills", "carry-jog")["stage"] = "jogging"
    shipped.SHIPPED.write_text(yaml.safe_dump(broken, sort_keys=False, allow_unicode=True), encoding="utf-8")
    before = values_of(desk)
    answer = choose(desk, less=("stages/jogging",))
    assert answer.status_code == 422 and values_of(desk) == before and CatalogueEdition.objects.count() == 1
    assert answer.context["reasons"] == ["drill Carry jog, Stage: Jogging is not in this catalogue"]
