"""Editing by head coaches: every kind of item, with all problems by field and nothing lost."""

import html

import pytest

from athletes.models import Readiness
from club.models import AuditEntry, Duty
from drills.core.items import ItemId, Kind, key_of
from drills.models import Drill
from drills.views.edit import EDITORS
from tests.club.catalogue_cases import CHANGED
from tests.drills.editing import Desk, dump, make_desk

pytestmark = pytest.mark.django_db

NEW_DRILL = {
    "name": "Skipping drop", "stage": "first", "purpose": "To drop on a beat.", "easier": "carry", "setup": "A floor.",
    "how": "Skip.\n\nDrop on every third skip.", "phases": ["drop"], "checkpoints": ["bottom-elbow"],
    "new_name": "drop on the beat", "new_phase": "drop", "new_good": "Bottom hand falls with the skip.",
    "new_seen_from": ["front"], "new_gate": "on", "new_fault_1_name": "drop off the beat", "new_fault_1_kind": "late",
    "new_fault_1_cues": "Sooner.", "new_fault_1_remedy": "adjustment:hold-lower",
    "new_fault_2_name": "drop forgotten altogether",
}  # fmt: skip


@pytest.fixture
def desk(db: None) -> Desk:
    return make_desk()


def test_a_drill_with_a_checkpoint_two_faults_a_cue_a_remedy_and_a_need_is_added_in_one_go(desk: Desk) -> None:
    answer = desk.post("catalogue/drills/new/", desk.new_data(Kind.DRILL, **NEW_DRILL))
    assert answer.status_code == 302 and answer["Location"].endswith("/drills/skipping-drop/")
    items = desk.items()
    drill = items[ItemId(Kind.DRILL, "skipping-drop")]
    assert drill["needs"] == ["carry"] and drill["gate"] == ["drop-on-the-beat"] and drill["short"] == "Skipping drop"
    assert drill["how"] == ["Skip.", "Drop on every third skip."]
    assert drill["checkpoints"] == [{"checkpoint": "bottom-elbow"}, {"checkpoint": "drop-on-the-beat"}]
    late = items[ItemId(Kind.FAULT, "drop-off-the-beat")]
    assert late["cues"] == ["Sooner."] and late["remedies"] == [{"adjustment": "hold-lower"}]
    assert items[ItemId(Kind.FAULT, "drop-forgotten-altogether")]["label"] == "drop forgotten"
    assert items[ItemId(Kind.CHECKPOINT, "drop-on-the-beat")]["cells"] == [6, 5, 4]
    page = desk.get("drills/skipping-drop/").content.decode()
    assert "Bottom hand falls with the skip." in page and "<q>Sooner.</q>" in page
    assert AuditEntry.objects.filter(kind="catalogue.added").count() == 4


def test_a_form_that_is_wrong_in_many_ways_says_all_of_it_at_the_fields_and_loses_nothing(desk: Desk) -> None:
    before = dump()
    wrong = {**NEW_DRILL, "purpose": "", "how": "x" * 700, "places": "0", "risk": "contact", "new_good": "",
             "new_fault_1_cues": "", "short": "Run", "new_seen_from": ["front", "beside-the-box"]}  # fmt: skip
    answer = desk.post("catalogue/drills/new/", desk.new_data(Kind.DRILL, **wrong))
    form = answer.context["form"]
    assert answer.status_code == 422 and dump() == before
    assert set(form.errors) >= {"purpose", "how", "places", "entry_drill", "poles", "adult", "new_good",
                                "new_fault_1_cues", "short"}  # fmt: skip
    assert form.errors["how"] == ["Line 1: is longer than 600 characters."]
    assert form.errors["short"] == ["Run is already used above."]
    page = html.unescape(answer.content.decode())
    assert "Skipping drop" in page and "drop forgotten altogether" in page and "To drop" not in page
    for name in ("purpose", "entry_drill", "new_good"):
        assert f'href="#id_{name}"' in page


@pytest.mark.parametrize("editor", EDITORS, ids=lambda editor: editor.kind)
def test_every_kind_of_item_opens_saved_unchanged_is_the_same_and_is_changed(desk: Desk, editor) -> None:
    before = desk.items()
    for item in [one for one in before if one.kind is editor.kind]:
        row_id = _id(item)
        path = f"drills/{row_id}/edit/" if editor.kind is Kind.DRILL else f"catalogue/{_folder(item)}/{row_id}/edit/"
        assert desk.get(path).status_code == 200
        assert desk.post(path, desk.form_data(item)).status_code == 302
    assert desk.items() == before and not AuditEntry.objects.exists()
    change = CHANGED.get(editor.kind, {"name": "Another name"})
    assert desk.post(path, desk.form_data(item, **change)).status_code == 302
    assert desk.items()[item] == {**before[item], **change}


def _folder(item: ItemId) -> str:
    return str(item.kind).replace("_", "-")


def _id(item: ItemId) -> str:
    from drills.models import Link

    if item.kind is not Kind.LINK:
        return item.key
    return str(next(row.pk for row in Link.objects.all() if f"{(row.fault or row.cause).key}>{row.to.key}" == item.key))


def test_the_cover_is_changed(desk: Desk) -> None:
    data = {"name": "Our own", "version": "4", "read": desk.get("catalogue/cover/").context["form"].read}
    assert desk.post("catalogue/cover/", data).status_code == 302
    assert "Our own" in desk.get("catalogue/").content.decode()


def test_an_item_that_somebody_else_changed_meanwhile_is_shown_first(desk: Desk) -> None:
    item = ItemId(Kind.SAFETY, "look-out")
    mine = desk.form_data(item, title="Mine")
    desk.post("catalogue/safety/look-out/edit/", desk.form_data(item, title="Theirs"))
    answer = desk.post("catalogue/safety/look-out/edit/", mine)
    assert answer.status_code == 422 and "Somebody else changed this" in answer.content.decode()
    assert 'value="Mine"' in answer.content.decode() and desk.items()[item]["title"] == "Theirs"
    again = {**mine, "read": answer.context["form"].read}
    assert desk.post("catalogue/safety/look-out/edit/", again).status_code == 302
    assert desk.items()[item]["title"] == "Mine"


def test_another_gate_is_asked_about_where_athletes_have_figures_and_judges_them_anew(desk: Desk) -> None:
    box, drill = ItemId(Kind.DRILL, "box"), Drill.objects.get(key="box")
    Readiness.objects.create(club=desk.cast.club, athlete=desk.cast.vaulter, drill=drill, reps=4)
    change = {"gate_1": "tip-quiet", "gate_2": ""}
    answer = desk.post("drills/box/edit/", desk.form_data(box, **change))
    assert answer.status_code == 422 and set(answer.context["form"].errors) == {"sure"}
    assert "1 athlete has figures here" in answer.content.decode() and not Duty.objects.exists()
    assert desk.post("drills/box/edit/", desk.form_data(box, **change, sure="on")).status_code == 302
    assert desk.items()[box]["gate"] == ["tip-quiet"]
    assert [duty.key for duty in Duty.objects.filter(kind="drill_counts")] == [str(drill.pk)]


def test_another_text_of_a_drill_with_figures_is_not_asked_about(desk: Desk) -> None:
    Readiness.objects.create(club=desk.cast.club, athlete=desk.cast.vaulter, drill=Drill.objects.get(key="box"), reps=4)
    assert desk.post("drills/box/edit/", desk.form_data(ItemId(Kind.DRILL, "box"), dose="Five.")).status_code == 302


def test_a_drill_that_others_need_is_not_taken_out_and_says_who_needs_it(desk: Desk) -> None:
    before = dump()
    answer = desk.post("drills/carry/edit/", {"act": "remove"})
    assert answer.status_code == 422 and dump() == before
    page = html.unescape(answer.content.decode())
    assert "drill Run, Needs, 1: Carry is not in this catalogue" in page


def test_a_drill_that_was_used_is_retired_and_stays_readable(desk: Desk) -> None:
    Readiness.objects.create(club=desk.cast.club, athlete=desk.cast.vaulter, drill=Drill.objects.get(key="box"))
    assert desk.post("drills/box/edit/", {"act": "remove"}).status_code == 302
    assert desk.items()[ItemId(Kind.DRILL, "box")]["retired"] is True
    assert "is retired" in desk.get("drills/box/").content.decode()
    assert 'aria-label="Box' not in desk.get("drills/").content.decode()
    assert desk.post("drills/box/edit/", desk.form_data(ItemId(Kind.DRILL, "box"), retired="")).status_code == 302
    assert "retired" not in desk.items()[ItemId(Kind.DRILL, "box")]


def test_a_checkpoint_goes_with_its_faults_and_their_links(desk: Desk) -> None:
    data = {**desk.form_data(ItemId(Kind.DRILL, "run")), "checkpoints": ["carry-height"]}
    assert desk.post("drills/run/edit/", data).status_code == 302
    assert desk.post("catalogue/checkpoints/drop-start/edit/", {"act": "remove"}).status_code == 302
    left = {item.key for item in desk.items()}
    assert {"drop-start", "drop-late", "starts-low>drop-late"} & left == set()


def test_a_new_fault_is_added_to_its_checkpoint(desk: Desk) -> None:
    data = {"name": "drop far too early", "kind": "early", "cues": "Later.", "after": "-", "read": ""}
    assert desk.post("catalogue/checkpoints/drop-start/faults/new/", data).status_code == 302
    fault = desk.items()[ItemId(Kind.FAULT, "drop-far-too-early")]
    assert fault["checkpoint"] == "drop-start" and fault["label"] == "drop far too"
    assert [item.key for item in desk.items() if item.kind is Kind.FAULT][:2] == ["starts-low", "drop-far-too-early"]


def test_a_drill_moves_in_the_order(desk: Desk) -> None:
    desk.post("drills/box/edit/", desk.form_data(ItemId(Kind.DRILL, "box"), after="-"))
    assert [item.key for item in desk.items() if item.kind is Kind.DRILL] == ["box", "carry", "run"]


def test_keys_are_made_once_and_stay(desk: Desk) -> None:
    desk.post("drills/run/edit/", desk.form_data(ItemId(Kind.DRILL, "run"), name="Sprint"))
    run = desk.items()[ItemId(Kind.DRILL, "run")]
    assert run["name"] == "Sprint" and key_of(Kind.DRILL, run) == "run"


@pytest.mark.parametrize("who", ["assistant", "helper", "athlete", "parent", "officer"])
def test_nobody_but_a_head_coach_changes_anything(desk: Desk, who: str) -> None:
    before = dump()
    person = getattr(desk.cast, who).person
    desk.client.force_login(person, backend="allauth.account.auth_backends.AuthenticationBackend")
    for path in ("drills/run/edit/", "catalogue/drills/new/", "catalogue/import/", "catalogue/edition/"):
        assert desk.post(path, {"act": "remove"}).status_code == 403
    assert dump()["drills_drill"] == before["drills_drill"]
