"""The private data folder: where it is, who holds it, its secret key, and what was last prepared in it."""

import fcntl
import hashlib
import json
import os
import secrets
import shutil
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from deploy import Refused

ROOT = Path(__file__).resolve().parent.parent
APPS = ("club", "drills", "athletes", "sessions")


def data_path() -> Path:
    """The folder that club/settings.py uses too: SIXMARK_DATA, else one under the user's own data."""
    named = os.environ.get("SIXMARK_DATA", "").strip()
    if named:
        return Path(named).expanduser().resolve()
    return (Path(os.environ.get("XDG_DATA_HOME", "").strip() or "~/.local/share") / "sixmark").expanduser().resolve()


@dataclass(frozen=True, slots=True)
class DataFolder:
    path: Path

    @classmethod
    def open(cls) -> "DataFolder":
        """Makes the folder if need be, closes it to everyone else and tells the site where it is."""
        path = data_path()
        if path == ROOT or (ROOT in path.parents and path != ROOT / "data"):  # git ignores data/
            raise Refused(f"{path} is inside the program's own folder. Set SIXMARK_DATA to a folder outside it.")
        path.mkdir(parents=True, exist_ok=True)
        path.chmod(0o700)
        os.environ["SIXMARK_DATA"] = str(path)
        return cls(path)

    @property
    def sqlite_file(self) -> Path:
        return self.path / "sixmark.sqlite3"

    @property
    def media(self) -> Path:
        return self.path / "media"

    @property
    def ledger(self) -> Path:
        return self.path / "erasures.jsonl"

    @property
    def unfinished_restore(self) -> Path:
        return self.path / "restore-unfinished"

    @contextmanager
    def held(self, wish: str) -> Iterator[None]:
        """Holds the folder for as long as this process or a child of it lives, however it ends.

        The lock belongs to the open file, which forked children share: a server whose supervisor
        was killed still holds the folder until its last process is gone.
        """
        with open(self.path / "in-use.lock", "a+", encoding="utf-8") as file:
            try:
                fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                raise Refused(self._who_holds_it(wish)) from None
            yield

    def _who_holds_it(self, wish: str) -> str:
        running = read_json(self.path / "running.json")
        where = f" (process {running['pid']}, {running['url']})" if running else ""
        return f"{wish}: Sixmark is using {self.path} already{where}. Stop it there first (Ctrl-C)."

    def ensure_secret_key(self) -> None:
        """A key file that only its owner reads, unless the environment carries the key."""
        if os.environ.get("SIXMARK_SECRET_KEY", "").strip():
            return
        with _created_private(self.path / "secret-key") as file:
            if file is not None:
                os.write(file, secrets.token_urlsafe(64).encode("ascii"))

    def empty_broker(self) -> None:
        """Only doorbells lie there; the duties themselves are rows, so nothing is lost."""
        broker = self.path / "broker"
        shutil.rmtree(broker, ignore_errors=True)
        broker.mkdir(mode=0o700)

    def log_file(self, name: str) -> Path:
        """A private log that starts afresh, keeping one old one, when it has grown past 5 MB."""
        folder = self.path / "log"
        folder.mkdir(mode=0o700, exist_ok=True)
        file = folder / f"{name}.log"
        if file.exists() and file.stat().st_size > 5_000_000:
            file.replace(file.with_suffix(".log.1"))
        return file


@contextmanager
def _created_private(path: Path) -> Iterator[int | None]:
    """A descriptor of a new 0600 file; None when the file is there already."""
    try:
        file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        yield None
        return
    try:
        yield file
    finally:
        os.close(file)


def read_json(path: Path) -> dict[str, object]:
    try:
        value = json.loads(path.read_text(encoding="utf-8"))
    except (FileNotFoundError, ValueError):
        return {}
    return value if isinstance(value, dict) else {}


def write_private(path: Path, content: bytes) -> None:
    """Replaces the file in one step, so that a reader sees the old one or the new one, never half."""
    draft = path.with_name(f".{path.name}.{os.getpid()}")
    with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    draft.replace(path)


def write_json(path: Path, value: dict[str, object]) -> None:
    write_private(path, json.dumps(value, indent=1).encode("utf-8"))


# --- what need not be done twice ---------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Stamps:
    """What was done last time and to what, so that a second start does none of it again."""

    file: Path

    def fresh(self, step: str, stamp: str) -> bool:
        return read_json(self.file).get(step) == stamp

    def done(self, step: str, stamp: str) -> None:
        write_json(self.file, read_json(self.file) | {step: stamp})


def stamp_of_files(pattern_parts: Sequence[str]) -> str:
    """A hash that changes when a file under one of the apps' folders of these names changes, or the lock does."""
    files = [
        file
        for app in APPS
        for part in pattern_parts
        for file in (ROOT / app).glob(f"**/{part}/**/*")
        if file.is_file() and file.suffix != ".pyc"
    ]
    lines = [f"{file.relative_to(ROOT)} {file.stat().st_size} {file.stat().st_mtime_ns}" for file in sorted(files)]
    lines.append(hashlib.sha256((ROOT / "deploy" / "requirements.lock").read_bytes()).hexdigest())
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()


def stamp_of_applied(sqlite_file: Path, database_url: str) -> str:
    """A hash of the migrations that the database says it has; empty when it has none or cannot be asked."""
    rows = _applied_in_postgresql(database_url) if database_url else _applied_in_sqlite(sqlite_file)
    return hashlib.sha256("\n".join(sorted(rows)).encode()).hexdigest() if rows else ""


_APPLIED = "SELECT app || '.' || name FROM django_migrations"


def _applied_in_sqlite(file: Path) -> list[str]:
    if not file.exists():
        return []
    try:
        with closing(sqlite3.connect(file)) as connection:
            return [row[0] for row in connection.execute(_APPLIED)]
    except sqlite3.Error:
        return []


def _applied_in_postgresql(url: str) -> list[str]:
    import psycopg

    try:
        with psycopg.connect(url, connect_timeout=5) as connection:
            return [row[0] for row in connection.execute(_APPLIED)]
    except psycopg.Error:
        return []
