"""Backs up and restores everything that is not the program: database, media, ledger of erased ids.

A backup is a folder of its own inside the chosen one:

    FOLDER/erasures.jsonl              every id erased up to the newest backup; grows, never shrinks
    FOLDER/sixmark-20260114T181500Z/   manifest.json, database.sqlite3 or database.dump, media/, erasures.jsonl

Erasure wins over backups: a restore joins the ledgers (the live one, the backup's and the one beside
it) and applies the whole before anything is served.
"""

import argparse
import hashlib
import json
import os
import shutil
import sys
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import django
from django.conf import settings
from django.core.management import CommandError, call_command

from deploy import Refused, databases
from deploy.data_folder import DataFolder, read_json, write_json, write_private

FORMAT = 1
MANIFEST, LEDGER = "manifest.json", "erasures.jsonl"


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="deploy/backup, deploy/restore")
    parser.add_argument("what", choices=["backup", "restore"])
    parser.add_argument("--from-folder", default=".", help=argparse.SUPPRESS)
    parser.add_argument("folder", nargs="?", help="backup: where to put it; restore: the backup's own folder")
    parser.add_argument("--yes", action="store_true", help="restore without asking")
    given = parser.parse_intermixed_args(arguments)
    os.umask(0o077)
    try:
        folder = DataFolder.open()
        chosen = Path(given.from_folder, given.folder).resolve() if given.folder else None
        if given.what == "backup":
            print(make(folder, chosen or folder.path / "backups"))
            return 0
        if chosen is None:
            parser.error("restore needs the backup's folder")
        _ask(folder, chosen, sure=given.yes)
        restore(folder, chosen)
        print(f"Restored from {chosen}. Start it again with deploy/up.")
        return 0
    except Refused as refusal:
        print(refusal, file=sys.stderr)
        return 1


def _ask(folder: DataFolder, chosen: Path, *, sure: bool) -> None:
    if sure:
        return
    if not sys.stdin.isatty():
        raise Refused(f"This replaces all data in {folder.path}. Say so with --yes.")
    answer = input(f"Replace all data in {folder.path} with {chosen}? Type yes: ")
    if answer.strip().lower() != "yes":
        raise Refused("Nothing was changed.")


def _load(folder: DataFolder) -> databases.Database:
    folder.ensure_secret_key()
    os.environ["DJANGO_SETTINGS_MODULE"] = "club.settings"
    django.setup()
    return databases.from_settings(settings.DATABASES["default"])


# --- making one -----------------------------------------------------------------------------------


def make(folder: DataFolder, target: Path) -> Path:
    """Copies everything while the site runs. Returns the new backup's folder; it appears only when complete."""
    database = _load(folder)
    now = datetime.now(UTC)
    finished = target / f"sixmark-{now:%Y%m%dT%H%M%SZ}"
    draft = target / f".{finished.name}.{os.getpid()}"
    draft.mkdir(parents=True)
    try:
        database.copy_to(draft / database.file_name)
        # Files after rows: whatever the copied rows name was there before them. Ledger last: an id
        # erased meanwhile is in it, so a restore takes out again what the copy still holds.
        _copy_media(folder.media, draft / "media")
        everything = _joined([folder.ledger, target / LEDGER])
        _write_ledger(draft / LEDGER, everything)
        _write_ledger(target / LEDGER, everything)
        write_json(draft / MANIFEST, _manifest(draft, database, now))
        draft.rename(finished)
    except BaseException:
        shutil.rmtree(draft, ignore_errors=True)
        raise
    return finished


def _copy_media(media: Path, target: Path) -> None:
    """Copies file by file; one that is deleted meanwhile is simply not there."""
    target.mkdir()
    for file in sorted(media.rglob("*")):
        if file.is_file():
            copy = target / file.relative_to(media)
            copy.parent.mkdir(parents=True, exist_ok=True)
            with suppress(FileNotFoundError):
                shutil.copy2(file, copy)


def _manifest(draft: Path, database: databases.Database, now: datetime) -> dict[str, object]:
    return {
        "format": FORMAT,
        "made": now.isoformat(timespec="seconds"),
        "database": database.kind,
        "version": _version(),
        "migrations": _known_migrations(),
        "sha256": {name: _sha256(draft / name) for name in _files(draft)},
    }


def _version() -> str:
    import tomllib

    project = tomllib.loads((Path(__file__).parent.parent / "pyproject.toml").read_text(encoding="utf-8"))
    return str(project["project"]["version"])


def _known_migrations() -> list[str]:
    """Every migration that this program has, and those it says it replaces."""
    from django.db.migrations.loader import MigrationLoader

    disk = MigrationLoader(None, ignore_no_migrations=True).disk_migrations
    replaced = {key for migration in disk.values() for key in migration.replaces}
    return sorted(f"{app}.{name}" for app, name in {*disk, *replaced})


def _files(folder: Path) -> list[str]:
    return sorted(
        str(file.relative_to(folder)) for file in folder.rglob("*") if file.is_file() and file.name != MANIFEST
    )


def _sha256(file: Path) -> str:
    with file.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _joined(ledgers: Iterable[Path]) -> list[str]:
    """Each line once, in the order of first sight. A line that is not JSON means a damaged ledger: Refused."""
    lines: dict[str, None] = {}
    for ledger in ledgers:
        for number, line in enumerate(ledger.read_text(encoding="utf-8").splitlines() if ledger.exists() else [], 1):
            if line.strip():
                _check_line(line, f"{ledger}, line {number}")
                lines[line.strip()] = None
    return list(lines)


def _check_line(line: str, where: str) -> None:
    try:
        json.loads(line)
    except ValueError:
        raise Refused(f"The ledger of erased people is damaged: {where}. Mend it first; it must not be lost.") from None


def _write_ledger(file: Path, lines: list[str]) -> None:
    write_private(file, "".join(f"{line}\n" for line in lines).encode("utf-8"))


# --- putting one back -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Backup:
    folder: Path
    manifest: dict[str, object]

    @classmethod
    def read(cls, folder: Path) -> "Backup":
        manifest = read_json(folder / MANIFEST)
        if manifest.get("format") != FORMAT:
            raise Refused(f"{folder} holds no backup that this version can read ({MANIFEST} is missing or too new).")
        return cls(folder, manifest)

    def refuse_if_changed(self) -> None:
        said = self.manifest.get("sha256")
        expected = said if isinstance(said, dict) else {}
        found = {name: _sha256(self.folder / name) for name in _files(self.folder)}
        differing = sorted(name for name in {*found, *expected} if found.get(name) != expected.get(name))
        if differing or not found:
            raise Refused(f"The backup is not as it was made. Changed, missing or added: {', '.join(differing[:5])}")

    def refuse_if_newer(self) -> None:
        said = self.manifest.get("migrations")
        unknown = sorted({str(name) for name in (said if isinstance(said, list) else [])} - set(_known_migrations()))
        if unknown:
            raise Refused(
                f"The backup was made by a newer version ({self.manifest['version']}). Update the program first. "
                f"Unknown here: {', '.join(unknown[:5])}"
            )


def restore(folder: DataFolder, chosen: Path) -> None:
    """Replaces database and media, then applies every erasure known here, in the backup or beside it.

    Until the erasures are applied a marker in the data folder keeps deploy/up from serving.
    """
    with folder.held("deploy/restore"):
        database = _load(folder)
        backup = Backup.read(chosen)
        if backup.manifest["database"] != database.kind:
            raise Refused(f"The backup is of {backup.manifest['database']}; this server is set to {database.kind}.")
        backup.refuse_if_changed()
        backup.refuse_if_newer()
        database.check(chosen / database.file_name)
        database.refuse_if_in_use()
        erased = _joined([folder.ledger, chosen / LEDGER, chosen.parent / LEDGER])
        write_private(folder.unfinished_restore, f"{chosen}\n".encode())
        _write_ledger(folder.ledger, erased)
        database.put_back(chosen / database.file_name)
        _put_media_back(folder.media, chosen / "media")
        (folder.path / "prepared.json").unlink(missing_ok=True)
        _bring_up_to_date()
        folder.unfinished_restore.unlink()


def _put_media_back(media: Path, copy: Path) -> None:
    draft, old = media.with_name(".media.restoring"), media.with_name(".media.old")
    for leftover in (draft, old):
        shutil.rmtree(leftover, ignore_errors=True)
    draft.mkdir()
    if copy.exists():
        shutil.copytree(copy, draft, dirs_exist_ok=True)
    if media.exists():
        media.rename(old)
    draft.rename(media)
    shutil.rmtree(old, ignore_errors=True)


def _bring_up_to_date() -> None:
    try:
        call_command("migrate", interactive=False, verbosity=0)
        call_command("createcachetable", verbosity=0)
        call_command("apply_erasures")
        call_command("end_sign_ins")
    except CommandError as error:
        raise Refused(f"The data is back but the erased people may be too, so it will not start: {error}") from error


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
