"""A club's catalogue as rows: loaded, read back, changed in one go or not at all."""

from pathlib import Path

import networkx as nx
import pytest

from club.models import AuditEntry, Duty
from club.roles import Permission
from drills import queries
from drills.actions import CatalogueChanged, CatalogueRefused, load_catalogue, store_items
from drills.core.items import COVER, ItemId, Kind, stamp, take_apart, take_out
from drills.core.progression import needs_graph
from drills.core.reading import read_catalogue, write_catalogue
from drills.models import CatalogueItem, Drill, DrillCheckpoint, Fault, Link, Need, Remedy
from drills.shipped import load_shipped_catalogue, shipped
from tests.builders import Cast, make_club, make_member

SMALL = (Path(__file__).parent / "small_catalogue.yaml").read_bytes()


@pytest.fixture
def coach(cast: Cast):
    load_catalogue(club=cast.club, catalogue=read_catalogue(SMALL), source=SMALL.decode())
    return cast.head_coach.acting(Permission.CATALOGUE_EDIT)


def changed(coach, item: ItemId, **fields):
    items = queries.items(coach)
    items[item] = {**items[item], **fields}
    return store_items(by=coach, items=items, read=stamp(queries.items(coach)))


def test_the_shipped_catalogue_comes_back_from_the_rows_as_it_went_in(cast: Cast) -> None:
    load_shipped_catalogue(cast.club)
    assert queries.catalogue(cast.head_coach) == shipped().catalogue


def test_nothing_of_the_file_is_missing_in_the_rows(cast: Cast) -> None:
    """Counted in the tables against the file, not through the reader."""
    load_shipped_catalogue(cast.club)
    told = shipped().catalogue
    faults = [fault for checkpoint in told.checkpoints for fault in checkpoint.faults]
    assert set(Drill.objects.values_list("key", flat=True)) == {drill.key for drill in told.drills}
    assert set(Fault.objects.values_list("key", "checkpoint__key")) == {
        (fault.key, checkpoint.key) for checkpoint in told.checkpoints for fault in checkpoint.faults
    }
    assert sorted(Remedy.objects.filter(fault__isnull=False).values_list("fault__key", "drill__key", "adjustment__key"),
                  key=str) == sorted(
        ((fault.key, remedy.drill, remedy.adjustment) for fault in faults for remedy in fault.remedies), key=str
    )  # fmt: skip
    assert {(link.source, link.to) for link in told.links} == {
        (fault or cause, to) for fault, cause, to in Link.objects.values_list("fault__key", "cause__key", "to__key")
    }
    assert set(DrillCheckpoint.objects.filter(gate=True).values_list("drill__key", "checkpoint__key")) == {
        (drill.key, key) for drill in told.drills for key in drill.gate
    }
    assert all(row.cues for row in Fault.objects.exclude(kind="other"))


def test_the_needs_in_the_rows_are_one_graph_without_a_circle_as_networkx_sees_it(cast: Cast) -> None:
    load_shipped_catalogue(cast.club)
    edges = list(Need.objects.values_list("needed__key", "drill__key"))
    graph = nx.DiGraph(edges)
    assert nx.is_directed_acyclic_graph(graph) and nx.is_weakly_connected(graph) and len(graph) == 21
    read = needs_graph(queries.catalogue(cast.head_coach).drills)
    assert {(need, drill) for drill, needs in read.items() for need in needs} == set(edges)
    assert nx.ancestors(graph, "plant-run-6") >= {"grip-and-carry-hold", "running-drop-and-plant"}


def test_the_whole_catalogue_takes_as_many_queries_however_large_it_is(cast: Cast, django_assert_num_queries) -> None:
    load_shipped_catalogue(cast.club)
    small = make_club()
    load_catalogue(club=small, catalogue=read_catalogue(SMALL), source=SMALL.decode())
    for member in (cast.head_coach, make_member(small, "head_coach")):
        with django_assert_num_queries(16):
            queries.catalogue(member)


def test_one_changed_field_changes_one_row_and_says_who_did_it(coach) -> None:
    item = ItemId(Kind.SAFETY, "look-out")
    (difference,) = changed(coach, item, text="Look twice.")
    assert difference.item == item
    entry = AuditEntry.objects.get()
    assert entry.by == coach.person and entry.kind == "catalogue.changed"
    assert entry.values == {"item": "safety/look-out", "fields": {"text": ["Look before you move.", "Look twice."]}}
    assert queries.items(coach)[item]["text"] == "Look twice."


def test_rows_that_did_not_change_keep_their_ids(coach) -> None:
    def rows() -> dict[str, list[int]]:
        models = [*CatalogueItem.__subclasses__(), Need, DrillCheckpoint, Remedy, Link]
        return {model.__name__: list(model.objects.order_by("pk").values_list("pk", flat=True)) for model in models}

    before = rows()
    changed(coach, ItemId(Kind.DRILL, "run"), name="Run on")
    assert rows() == before


def test_what_is_no_catalogue_is_refused_whole_with_every_reason(coach) -> None:
    before = queries.catalogue(coach)
    items = queries.items(coach)
    items[ItemId(Kind.DRILL, "run")] |= {"needs": ["box"], "places": 0}
    items[ItemId(Kind.STAGE, "first")] |= {"name": "  "}
    with pytest.raises(CatalogueRefused) as refused:
        store_items(by=coach, items=items, read=stamp(queries.items(coach)))
    said = {(str(one.item), one.field, one.problem.message) for one in refused.value.misfits}
    assert ("drills/run", "needs", "needs itself in a circle: %(cycle)s") in said
    assert ("drills/run", "places", "must be at least %(limit)s") in said
    assert ("stages/first", "name", "is empty") in said
    assert queries.catalogue(coach) == before and not AuditEntry.objects.exists()


def test_a_change_on_an_old_reading_is_refused(coach) -> None:
    items, read = queries.items(coach), stamp(queries.items(coach))
    changed(coach, ItemId(Kind.SAFETY, "look-out"), title="Look")
    with pytest.raises(CatalogueChanged):
        store_items(by=coach, items=items, read=read)
    assert queries.items(coach)[ItemId(Kind.SAFETY, "look-out")]["title"] == "Look"


def test_what_was_never_used_goes_and_what_was_used_is_retired(coach, cast: Cast) -> None:
    from athletes.models import Readiness

    box = ItemId(Kind.DRILL, "box")
    Readiness.objects.create(club=coach.club, athlete=cast.vaulter, drill=Drill.objects.get(key="box"))
    assert queries.used(coach) == {box}
    items = queries.items(coach)
    gone = [box, ItemId(Kind.CHECKPOINT, "stays-grounded"), ItemId(Kind.FAULT, "jumps")]
    store_items(by=coach, items=take_out(items, gone, queries.used(coach)), read=stamp(items))
    kept = queries.items(coach)
    assert kept[box]["retired"] is True and kept[ItemId(Kind.CHECKPOINT, "stays-grounded")]["retired"] is True
    assert Readiness.objects.filter(drill__key="box").exists()
    items = queries.items(coach)
    gone = [ItemId(Kind.ACTIVITY, "jumping")]
    store_items(by=coach, items=take_out(items, gone, queries.used(coach)), read=stamp(items))
    assert gone[0] not in queries.items(coach)


def test_a_drill_that_was_used_meanwhile_does_not_go_with_its_figures(coach, cast: Cast) -> None:
    from athletes.models import Readiness

    items = queries.items(coach)
    Readiness.objects.create(club=coach.club, athlete=cast.vaulter, drill=Drill.objects.get(key="box"))
    with pytest.raises(CatalogueChanged):
        store_items(by=coach, items=take_out(items, [ItemId(Kind.DRILL, "box")], set()), read=stamp(items))
    assert Readiness.objects.count() == 1


def test_another_gate_asks_that_the_figures_of_that_drill_are_made_anew(coach) -> None:
    changed(coach, ItemId(Kind.DRILL, "box"), gate=["tip-quiet"])
    assert [duty.key for duty in Duty.objects.filter(kind="drill_counts")] == [str(Drill.objects.get(key="box").pk)]


def test_another_text_asks_for_no_new_figures(coach) -> None:
    changed(coach, ItemId(Kind.DRILL, "box"), purpose="To meet it calmly.")
    assert not Duty.objects.exists()


def test_other_clubs_keep_theirs(coach) -> None:
    other = make_club()
    load_catalogue(club=other, catalogue=read_catalogue(SMALL), source=SMALL.decode())
    changed(coach, COVER, name="Our own")
    changed(coach, ItemId(Kind.DRILL, "run"), name="Run on", needs=[])
    theirs = queries.catalogue(make_member(other, "head_coach"))
    assert theirs == read_catalogue(SMALL)


def test_what_is_taken_out_reads_back_the_same(coach) -> None:
    changed(coach, ItemId(Kind.FAULT, "drop-late"), cues=["Sooner.", 'Now: "down"', "früher"])
    catalogue = queries.catalogue(coach)
    assert read_catalogue(write_catalogue(catalogue).encode()) == catalogue
    assert take_apart(catalogue) == queries.items(coach)
