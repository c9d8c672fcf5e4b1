"""Files into and out of a club's catalogue, in two steps, in the browser's words."""

import copy
import html
from datetime import timedelta
from typing import Any

import pytest
import yaml
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse

from athletes.models import Readiness
from club.models import AuditEntry
from drills import queries
from drills.core.items import ItemId, Kind
from drills.core.reading import read_catalogue
from drills.models import CatalogueDraft, Drill
from tests.builders import make_club
from tests.drills.editing import SMALL, Desk, dump, make_desk

pytestmark = pytest.mark.django_db

PLAIN: dict[str, Any] = yaml.safe_load(SMALL)


@pytest.fixture
def desk(db: None) -> Desk:
    return make_desk()


def upload(desk: Desk, source: bytes | dict[str, Any]) -> HttpResponse:
    data = source if isinstance(source, bytes) else yaml.safe_dump(source, sort_keys=False).encode()
    return desk.post("catalogue/import/", {"file": SimpleUploadedFile("a.yaml", data)})


def opened(desk: Desk, source: bytes | dict[str, Any]) -> HttpResponse:
    answer = upload(desk, source)
    assert answer.status_code == 302
    return desk.client.get(answer["Location"])


def apply(desk: Desk, page: HttpResponse, take: list[str] | None = None) -> HttpResponse:
    ticked = [one.choice for kind in page.context["kinds"] for one in kind.items if one.taken] if take is None else take
    return desk.client.post(page.wsgi_request.path, {"read": page.context["read"], "take": ticked})


def changed(**drill: Any) -> dict[str, Any]:
    plain = copy.deepcopy(PLAIN)
    plain["drills"][1] |= drill
    return plain


def test_what_is_taken_out_and_put_in_again_is_no_difference(desk: Desk) -> None:
    file = desk.get("catalogue/export/")
    assert file["Content-Disposition"] == f'attachment; filename="catalogue-{desk.cast.club.slug}-1.yaml"'
    assert read_catalogue(file.content) == queries.catalogue(desk.coach) == read_catalogue(SMALL)
    page = opened(desk, file.content)
    assert page.context["count"] == 0 and "the file says the same" in page.content.decode()


def test_a_bad_file_is_refused_with_line_place_and_reason_of_every_problem(desk: Desk) -> None:
    before = dump()
    plain = changed(needs=["nowhere"], places=0)
    del plain["stages"][0]["name"]
    answer = upload(desk, plain)
    assert answer.status_code == 422 and dump() == before
    lines = yaml.safe_dump(plain, sort_keys=False).splitlines()
    shown = {(problem.line, problem.path, reason) for problem, reason in answer.context["problems"]}
    assert (lines.index("  - nowhere") + 1, "drills[run].needs[1]", "nowhere is not in this catalogue") in shown
    assert (lines.index("  places: 0") + 1, "drills[run].places", "must be at least 1") in shown
    assert any(path == "stages[first].name" and reason == "is missing" for _line, path, reason in shown)
    page = html.unescape(answer.content.decode())
    assert "The file was refused: 3 problems." in page and "<code>drills[run].needs[1]</code>" in page


def test_a_difference_reads_field_by_field_old_and_new(desk: Desk) -> None:
    page = opened(desk, changed(name="Run on", surfaces={"smooth-floor": "good"}, needs=[]))
    (kind,) = page.context["kinds"]
    (line,) = kind.items
    assert (line.name, line.what, line.taken, line.disputed) == ("drill Run", "changed", True, False)
    said = {field.label: (field.ours, field.theirs) for field in line.fields}
    assert said["Name"] == (["Run"], ["Run on"]) and said["Needs"] == (["Carry"], [])
    assert said["Surface"] == (
        ["synthetic track: try it by hand first; smooth indoor floor: good"],
        ["smooth indoor floor: good"],
    )


def test_nothing_is_stored_before_it_is_chosen_and_only_what_is_chosen(desk: Desk) -> None:
    plain = changed(name="Run on")
    plain["safety"][0]["title"] = "Look twice"
    page = opened(desk, plain)
    assert queries.catalogue(desk.coach) == read_catalogue(SMALL)
    answer = apply(desk, page, ["drills/run"])
    assert answer.status_code == 302 and not CatalogueDraft.objects.exists()
    items = desk.items()
    assert items[ItemId(Kind.DRILL, "run")]["name"] == "Run on"
    assert items[ItemId(Kind.SAFETY, "look-out")]["title"] == "Look out"
    assert AuditEntry.objects.get().values["fields"] == {"name": ["Run", "Run on"]}


def test_everything_taken_is_the_file_again(desk: Desk) -> None:
    plain = changed(name="Run on", key="run-on", short="Run on", gate=["drop-start", "carry-height"])
    plain["drills"][1]["checkpoints"] = [{"checkpoint": "drop-start"}, {"checkpoint": "carry-height"}]
    plain["drills"][2] |= {"needs": ["run-on", "carry"], "entry_drill": "run-on"}
    plain["stages"] += [{"key": "second", "number": 1, "name": "Second"}]
    plain["drills"][1]["stage"] = "second"
    plain |= {"name": "Another", "version": 3, "causes": [], "links": []}
    plain["checkpoints"].reverse()
    page = opened(desk, plain)
    assert apply(desk, page).status_code == 302
    assert queries.catalogue(desk.coach) == read_catalogue(yaml.safe_dump(plain, sort_keys=False).encode())


def test_choices_that_do_not_fit_together_are_refused_with_the_reason_and_stay_ticked(desk: Desk) -> None:
    plain = changed(stage="second")
    plain["stages"] += [{"key": "second", "number": 1, "name": "Second"}]
    page = opened(desk, plain)
    before = dump()
    answer = apply(desk, page, ["drills/run"])
    assert answer.status_code == 422 and dump() == before
    assert answer.context["reasons"] == ["drill Run, Stage: Second is not in this catalogue"]
    ticked = [one.choice for kind in answer.context["kinds"] for one in kind.items if one.taken]
    assert ticked == ["drills/run"]


def test_what_the_file_lacks_goes_or_is_retired_where_it_was_used(desk: Desk) -> None:
    Readiness.objects.create(club=desk.cast.club, athlete=desk.cast.vaulter, drill=Drill.objects.get(key="box"))
    plain = copy.deepcopy(PLAIN)
    plain["drills"].pop()
    plain["activities"] = []
    page = opened(desk, plain)
    said = {one.name: one.what for kind in page.context["kinds"] for one in kind.items}
    assert said == {"drill Box": "retired, because old records name it", "activity Jumping": "taken out"}
    assert apply(desk, page).status_code == 302
    items = desk.items()
    assert items[ItemId(Kind.DRILL, "box")]["retired"] is True and ItemId(Kind.ACTIVITY, "jumping") not in items
    assert opened(desk, plain).context["count"] == 0


def test_a_choice_on_a_catalogue_that_changed_meanwhile_is_shown_again(desk: Desk) -> None:
    page = opened(desk, changed(name="Run on"))
    desk.post("catalogue/safety/look-out/edit/", desk.form_data(ItemId(Kind.SAFETY, "look-out"), title="Look"))
    before = dump()
    answer = apply(desk, page)
    assert answer.status_code == 422 and dump() == before
    assert apply(desk, answer).status_code == 302


def test_a_file_is_forgotten_on_demand_and_after_a_day(desk: Desk) -> None:
    page = opened(desk, changed(name="Run on"))
    assert desk.client.post(page.wsgi_request.path, {"act": "discard"}).status_code == 302
    assert not CatalogueDraft.objects.exists()
    upload(desk, SMALL)
    old = CatalogueDraft.objects.get()
    CatalogueDraft.objects.update(made_at=old.made_at - timedelta(days=2))
    upload(desk, SMALL)
    assert list(CatalogueDraft.objects.values_list("pk", flat=True)) != [old.pk] and CatalogueDraft.objects.count() == 1


def test_the_draft_of_another_club_is_not_found(desk: Desk) -> None:
    theirs = CatalogueDraft.objects.create(
        club=make_club(), made_at=desk.cast.club.id and _now(), source=SMALL.decode()
    )
    for ask in (desk.client.get, desk.client.post):
        assert ask(desk.url(f"catalogue/import/{theirs.pk}/")).status_code == 404
    assert CatalogueDraft.objects.filter(pk=theirs.pk).exists()


def _now():  # type: ignore[no-untyped-def]
    from django.utils import timezone

    return timezone.now()


def test_a_choice_that_was_not_offered_is_not_taken(desk: Desk) -> None:
    page = opened(desk, changed(name="Run on"))
    assert apply(desk, page, ["stages/first", "drills/no-such", "drills/run#name", "x" * 5000]).status_code == 302
    assert queries.catalogue(desk.coach) == read_catalogue(SMALL)


def test_no_file_at_all_is_said_at_the_field(desk: Desk) -> None:
    answer = desk.post("catalogue/import/", {})
    assert answer.status_code == 422 and "file" in answer.context["form"].errors


def test_the_pages_take_as_many_queries_however_large_the_catalogue_is(
    desk: Desk, django_assert_max_num_queries
) -> None:
    from drills.shipped import SHIPPED

    page = opened(desk, SHIPPED.read_bytes())
    assert page.context["count"] > 100
    with django_assert_max_num_queries(50):
        desk.client.get(page.wsgi_request.path)
