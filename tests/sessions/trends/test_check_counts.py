"""check_counts: 0 on figures that are right, and a line for each one that is not."""

import ast
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction
from django.db.models import F

from athletes.models import Readiness, ReadinessDay
from sessions.trends import bare_counts
from sessions.trends.models import DayCheckpoint, DayDrill, DayFault, DayPair
from tests.builders import DAY
from tests.sessions.trends import fold_oracle, standing_oracle
from tests.sessions.trends.generated_club import GeneratedClub
from tests.sessions.trends.rep_builders import roll_up

pytestmark = pytest.mark.django_db
TABLES = (DayDrill, DayCheckpoint, DayFault, DayPair, Readiness, ReadinessDay)


@contextmanager
def undone() -> Iterator[None]:
    """What happens inside did not happen."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def check_counts(**options: float) -> int:
    """The number that the command prints, whether it is content or not."""
    out, errors = StringIO(), StringIO()
    try:
        call_command("check_counts", stdout=out, stderr=errors, **options)
    except CommandError:
        assert out.getvalue().strip() != "0" or "still due" in errors.getvalue()
    return int(out.getvalue())


@pytest.fixture
def generated(db: None) -> GeneratedClub:
    made = GeneratedClub(seed=7)
    made.live()
    return made


@pytest.mark.parametrize("seed", range(3))
def test_a_club_that_lived_for_a_while_has_no_differences(seed: int) -> None:
    GeneratedClub(seed).live()
    assert all(table.objects.exists() for table in TABLES)
    assert check_counts() == 0


def test_one_wrong_row_of_any_table_is_one_difference(generated: GeneratedClub) -> None:
    wrong = {DayDrill: "done", DayCheckpoint: "watched", DayFault: "n", DayPair: "neither"}
    for table, column in {**wrong, Readiness: "slip", ReadinessDay: "good"}.items():
        with undone():
            table.objects.filter(pk=table.objects.order_by("pk").first().pk).update(**{column: F(column) + 1})
            assert check_counts() == 1


def test_one_missing_row_of_any_table_is_one_difference(generated: GeneratedClub) -> None:
    for table in TABLES:
        with undone():
            table.objects.filter(pk=table.objects.order_by("pk").first().pk).delete()
            assert check_counts() == 1


def test_a_roll_up_that_is_still_due_is_said_and_is_no_success(generated: GeneratedClub) -> None:
    generated.practise(DAY, reps=3)
    errors = StringIO()
    with pytest.raises(CommandError):
        call_command("check_counts", stdout=StringIO(), stderr=errors)
    assert "duties still due" in errors.getvalue()
    roll_up()
    assert check_counts(wait=5) == 0


def test_a_rebuild_makes_the_figures_again_from_nothing(generated: GeneratedClub) -> None:
    for table in (DayDrill, DayCheckpoint, DayFault, DayPair, ReadinessDay):
        table.objects.all().delete()
    Readiness.objects.update(good=99)
    call_command("rebuild_counts", stdout=StringIO())
    assert check_counts() == 0


def test_without_the_tests_the_command_says_that_readiness_and_standing_were_not_checked(
    generated: GeneratedClub, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sessions.trends.management.commands.check_counts.ORACLES", ("nowhere.fold_oracle",))
    errors = StringIO()
    call_command("check_counts", stdout=StringIO(), stderr=errors)
    assert "Readiness and standing were not checked" in errors.getvalue()


@pytest.mark.parametrize("module", [bare_counts, fold_oracle, standing_oracle])
def test_the_oracles_import_nothing_of_what_they_judge(module: object) -> None:
    tree = ast.parse(Path(module.__file__).read_text(encoding="utf-8"))
    imported = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    imported |= {name.name for node in ast.walk(tree) if isinstance(node, ast.Import) for name in node.names}
    assert not {name for name in imported if str(name).split(".")[0] in {"athletes", "sessions", "drills", "club"}}


def test_the_plain_fold_gives_the_published_examples() -> None:
    """readiness.md: a perfect start, 4 reps on day 0 and the rest on day 3; 60 bad reps bring the slip to its wall."""
    days = [DAY] * 4 + [DAY + timedelta(days=3)] * 6
    *_, (_, last) = fold_oracle.folded((day, "good") for day in days)
    assert (last["reps"], last["days"], last["slip"], last["recent"]) == (10, 2, 0.0, "11111")
    *_, (_, last) = fold_oracle.folded((DAY, "bad") for _ in range(60))
    assert last["slip"] == 5.0
