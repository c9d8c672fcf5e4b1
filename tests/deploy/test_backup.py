"""deploy/backup and deploy/restore on a real club: every row and file comes back, erased people do not."""

import hashlib
import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from uuid import UUID

import pytest

from deploy import health
from tests.deploy.conftest import FirstStart
from tests.deploy.rows import Tables, change, every_row, rows
from tests.deploy.running import Place, up

pytestmark = pytest.mark.processes

ONE_ATHLETE = """
    SELECT person_id, club_id FROM club_membership AS one
    WHERE role = 'athlete' AND NOT EXISTS
        (SELECT 1 FROM club_membership AS other WHERE other.person_id = one.person_id AND other.id <> one.id)
    ORDER BY 1 LIMIT 1
"""
CLIP = bytes(range(256)) * 40
# Each of them with rows, so that a backup without them would be seen.
WHAT_A_CLUB_LIVES_BY = {
    *("club_person", "club_guardianship", "club_auditentry", "drills_drill", "drills_checkpoint", "athletes_decision"),
    *("athletes_athlete", "practices_practice", "practices_assignment", "practices_attendance", "reps_event"),
    *("reps_rep", "django_migrations"),
}
# The record of changes keeps the bare id of whom an act was about; a duty's key is the id of what it worked out.
MAY_NAME_AN_ID = {"club_auditentry", "club_duty"}
ENDED = {"club_signinlink", "django_session"}  # who was signed in, or could be, at the time of the backup


@pytest.fixture(scope="module")
def made(first_start: FirstStart, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A backup of the demo club and of one clip, made while nothing else runs."""
    where = first_start.place
    clip = where.data / "media" / "clips" / "one.mp4"
    clip.parent.mkdir(parents=True, exist_ok=True)
    clip.write_bytes(CLIP)
    return _backup(where, tmp_path_factory.mktemp("backups"))


@pytest.fixture
def copy(made: Path, tmp_path: Path) -> Path:
    """The backup, to be spoilt."""
    return Path(shutil.copytree(made, tmp_path / "copy" / made.name))


@pytest.fixture
def undamaged(started: Place, made: Path) -> Iterator[None]:
    """Whatever the test does to the live data, the next one finds the backup's."""
    yield
    assert _restore(started, made) == ""


def _backup(where: Place, target: Path) -> Path:
    done = where.script("backup", str(target))
    assert done.returncode == 0, done.stderr
    return Path(done.stdout.strip())


def _restore(where: Place, folder: Path) -> str:
    """What it complained of; empty when it succeeded."""
    done = where.script("restore", str(folder), "--yes")
    assert (done.returncode == 0) == ("Restored from" in done.stdout), done.stderr
    return "" if done.returncode == 0 else done.stderr


@pytest.mark.usefixtures("undamaged")
def test_after_losses_and_changes_every_row_of_every_table_is_back(started: Place, made: Path) -> None:
    before = every_row(started)
    assert {name for name, found in before.items() if found} >= WHAT_A_CLUB_LIVES_BY
    change(started, "DELETE FROM club_heartbeat")
    change(started, "UPDATE club_person SET given_name = 'Nobody'")
    change(started, "CREATE TABLE left_over (n integer)")
    assert every_row(started) != before
    assert _restore(started, made) == ""
    after = every_row(started)
    assert {name: after[name] for name in after if name not in ENDED} == {
        name: before[name] for name in before if name not in ENDED
    }
    assert len(after["club_signinlink"]) == len(before["club_signinlink"]) > 0


@pytest.mark.usefixtures("undamaged")
def test_no_sign_in_of_the_time_of_the_backup_works_after_a_restore(started: Place, made: Path) -> None:
    open_links = "SELECT count(*) FROM club_signinlink WHERE used_at IS NULL AND revoked_at IS NULL"
    change(started, "UPDATE club_signinlink SET revoked_at = NULL")
    assert rows(started, open_links) != [(0,)]
    assert _restore(started, made) == ""
    assert rows(started, open_links) == [(0,)]
    assert rows(started, "SELECT count(*) FROM django_session") == [(0,)]


@pytest.mark.usefixtures("undamaged")
def test_files_come_back_and_later_ones_go(started: Place, made: Path) -> None:
    media = started.data / "media"
    (media / "clips" / "one.mp4").write_bytes(b"overwritten")
    (media / "clips" / "later.mp4").write_bytes(b"later")
    assert _restore(started, made) == ""
    assert {str(file.relative_to(media)) for file in media.rglob("*") if file.is_file()} == {"clips/one.mp4"}
    assert (media / "clips" / "one.mp4").read_bytes() == CLIP


def test_a_restored_server_starts_and_is_well(started: Place, made: Path) -> None:
    assert _restore(started, made) == ""
    with up(started) as site:
        assert health.ask(site.address).good


@pytest.mark.parametrize("ledger", ["of the live data", "beside the backup"])
def test_who_was_erased_after_the_backup_does_not_come_back_with_it(
    started: Place, copy: Path, made: Path, ledger: str
) -> None:
    person, club = rows(started, ONE_ATHLETE)[0]
    (athlete,) = rows(started, f"SELECT id FROM athletes_athlete WHERE person_id = '{person}'")[0]
    before = every_row(started)
    assert _given_name(started, person) != [("",)]
    assert _naming(before, athlete) >= {"athletes_athlete", "practices_attendance", "reps_event", "reps_rep"}
    live = started.data / "erasures.jsonl"
    entry = {"club": str(UUID(str(club))), "person": str(UUID(str(person))), "at": "2026-03-01T12:00:00+00:00"}
    (live if ledger == "of the live data" else copy.parent / "erasures.jsonl").write_text(json.dumps(entry) + "\n")
    assert _restore(started, copy) == ""
    assert _given_name(started, person) == [("",)]
    after = every_row(started)
    assert _naming(after, athlete) <= MAY_NAME_AN_ID
    untouched = {name for name in before if name.startswith("drills_")} | {"practices_practice", "club_club"}
    assert {name: after[name] for name in untouched} == {name: before[name] for name in untouched}
    others = {name: [row for row in before[name] if not _names(row, athlete)] for name in ("reps_event", "reps_rep")}
    assert {name: after[name] for name in others} == others
    assert json.loads(live.read_text(encoding="utf-8")) == entry
    live.unlink()  # for the other tests: as if nobody had been erased
    assert _restore(started, made) == ""


def _naming(tables: Tables, key: object) -> set[str]:
    """The tables with a row that holds this id, in whatever way."""
    return {name for name, found in tables.items() if any(_names(row, key) for row in found)}


def _names(row: str, key: object) -> bool:
    found = UUID(str(key))
    return found.hex in row or str(found) in row


def _given_name(where: Place, person: object) -> list[tuple[object, ...]]:
    return rows(where, f"SELECT given_name FROM club_person WHERE id = '{person}'")


@pytest.mark.usefixtures("undamaged")
def test_a_backup_of_a_running_server_is_whole(started: Place, tmp_path: Path) -> None:
    with up(started):
        while_running = _backup(started, tmp_path)
    people = every_row(started)["club_person"]
    change(started, "UPDATE club_person SET given_name = 'Nobody'")
    assert _restore(started, while_running) == ""
    assert every_row(started)["club_person"] == people


def test_a_running_server_is_not_restored_under(started: Place, made: Path) -> None:
    with up(started) as site:
        assert "Stop it there first" in _restore(started, made)
        assert health.ask(site.address).good


def test_the_manifest_says_when_what_and_with_which_sums(made: Path) -> None:
    manifest = json.loads((made / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["version"] and manifest["made"].endswith("+00:00")
    assert manifest["sha256"]["media/clips/one.mp4"] == hashlib.sha256(CLIP).hexdigest()
    assert set(manifest["sha256"]) == {str(f.relative_to(made)) for f in made.rglob("*") if f.is_file()} - {
        "manifest.json"
    }


@pytest.mark.parametrize("what", ["a changed file", "a missing file", "an added file", "a changed database"])
def test_a_backup_that_is_not_as_it_was_made_is_refused(started: Place, copy: Path, what: str) -> None:
    clip = copy / "media" / "clips" / "one.mp4"
    database = next(copy.glob("database.*"))
    if what == "a changed file":
        clip.write_bytes(CLIP[:-1] + b"x")
    elif what == "a missing file":
        clip.unlink()
    elif what == "an added file":
        clip.with_name("two.mp4").write_bytes(CLIP)
    else:
        content = bytearray(database.read_bytes())
        content[len(content) // 2] ^= 1
        database.write_bytes(content)
    before = every_row(started)
    assert "not as it was made" in _restore(started, copy)
    assert every_row(started) == before


def test_a_backup_from_a_newer_program_is_refused(started: Place, copy: Path) -> None:
    manifest = json.loads((copy / "manifest.json").read_text(encoding="utf-8"))
    manifest["migrations"].append("club.9999_from_the_future")
    (copy / "manifest.json").write_text(json.dumps(manifest), encoding="utf-8")
    assert "club.9999_from_the_future" in _restore(started, copy)


def test_a_folder_without_a_backup_is_refused(started: Place, tmp_path: Path) -> None:
    assert "holds no backup" in _restore(started, tmp_path)


def test_without_a_yes_nothing_is_replaced(started: Place, made: Path) -> None:
    before = every_row(started)
    done = started.script("restore", str(made))
    assert done.returncode == 1 and "--yes" in done.stderr
    assert every_row(started) == before


def test_after_a_restore_that_broke_off_nothing_is_served(started: Place, made: Path) -> None:
    (started.data / "restore-unfinished").write_text("broken off")
    refused = started.script("up", "--port", "18098")
    assert refused.returncode == 1 and "did not finish" in refused.stderr
    assert _restore(started, made) == ""
    assert not (started.data / "restore-unfinished").exists()


def test_backups_are_for_their_owner_alone(made: Path) -> None:
    assert made.stat().st_mode & 0o077 == 0
    assert all(
        file.stat().st_mode & 0o077 == 0 for file in made.rglob("*") if file.is_file() and file.name != "one.mp4"
    )
