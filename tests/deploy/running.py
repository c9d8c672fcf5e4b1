"""Starts the real thing from its own scripts, on a folder, a port and a database of its own."""

import json
import os
import signal
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit
from uuid import uuid4

from deploy import health
from deploy.data_folder import ROOT
from deploy.listening import free_port

LAST_LINE = "Ctrl-C ends it."


@dataclass(frozen=True)
class Place:
    """data: the folder. environment: what the scripts are started with. A database that belongs to it alone."""

    data: Path
    environment: dict[str, str]

    def script(self, name: str, *arguments: str, timeout_s: float = 120) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [str(ROOT / "deploy" / name), *arguments],
            env=self.environment,
            cwd=self.data.parent,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=timeout_s,
        )

    def manage(self, *arguments: str, timeout_s: float = 120) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [str(ROOT / ".venv" / "bin" / "python"), str(ROOT / "manage.py"), *arguments],
            env=self.environment,
            capture_output=True,
            text=True,
            timeout=timeout_s,
        )

    def running(self) -> dict[str, object]:
        value: dict[str, object] = json.loads((self.data / "running.json").read_text(encoding="utf-8"))
        return value

    def child(self, name: str) -> int:
        children = self.running()["children"]
        assert isinstance(children, dict)
        return int(children[name])

    def processes(self) -> list[int]:
        """Every live process that was started with this data folder."""
        wanted = f"SIXMARK_DATA={self.data}".encode()
        return [pid for pid in _process_ids() if wanted in _environment_of(pid) and not _is_zombie(pid)]

    def is_left_alone(self, within_s: float = 15) -> bool:
        return until(lambda: not self.processes(), within_s)


@contextmanager
def place(folder: Path) -> Iterator[Place]:
    """On the same kinds of database and broker as the test run, but apart from its own."""
    environment = {key: value for key, value in os.environ.items() if not key.startswith("SIXMARK_")}
    environment |= {"SIXMARK_DATA": str(folder / "data"), "PYTHONUNBUFFERED": "1"}
    database_url, redis_url = os.environ.get("SIXMARK_DATABASE_URL", ""), os.environ.get("SIXMARK_REDIS_URL", "")
    if redis_url:
        environment["SIXMARK_REDIS_URL"] = urlunsplit(urlsplit(redis_url)._replace(path="/7"))
    if not database_url:
        yield Place(folder / "data", environment)
        return
    with _own_database(database_url) as url:
        yield Place(folder / "data", environment | {"SIXMARK_DATABASE_URL": url})


@contextmanager
def _own_database(url: str) -> Iterator[str]:
    import psycopg

    name = f"place_{uuid4().hex}"
    server = urlunsplit(urlsplit(url)._replace(path="/postgres"))
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
    try:
        yield urlunsplit(urlsplit(url)._replace(path=f"/{name}"))
    finally:
        with psycopg.connect(server, autocommit=True) as connection:
            connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


@dataclass
class Up:
    """A running deploy/up. lines: what it has printed so far.

    healthy_s: seconds from its start to the first good answer. busy_s: what the processors spent on it until then.
    """

    place: Place
    port: int
    process: subprocess.Popen[str]
    address: health.Address
    lines: list[str] = field(default_factory=list)
    healthy_s: float = 0.0
    busy_s: float = 0.0

    @property
    def text(self) -> str:
        return "\n".join(self.lines)

    def end(self, number: signal.Signals = signal.SIGINT, within_s: float = 20) -> int:
        if self.process.poll() is None:
            self.process.send_signal(number)
        return self.process.wait(within_s)

    def greeted(self) -> bool:
        return any(LAST_LINE in line for line in self.lines)


@contextmanager
def up(where: Place, *arguments: str, wait: bool = True, address: health.Address | None = None) -> Iterator[Up]:
    """deploy/up on a free port; waits until it has greeted, and in the end leaves no process of it."""
    port = address.port if address else free_port()
    began = time.monotonic()
    process = subprocess.Popen(
        [str(ROOT / "deploy" / "up"), "--port", str(port), *arguments],
        env=where.environment,
        cwd=where.data.parent,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
    )
    started = Up(where, port, process, address or health.Address("127.0.0.1", port, f"http://localhost:{port}"))
    reader = threading.Thread(target=_read, args=(started,), daemon=True)
    reader.start()
    try:
        if wait:
            until(lambda: health.ask(started.address).good or process.poll() is not None, 180, pause_s=0.02)
            started.healthy_s = time.monotonic() - began
            started.busy_s = sum(map(_processor_s, where.processes()))
            until(lambda: started.greeted() or process.poll() is not None, 60)
            assert started.greeted(), started.text
        yield started
    finally:
        with suppress(subprocess.TimeoutExpired):
            started.end()
        for pid in where.processes():
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        process.wait()
        reader.join(5)
        assert process.stdout is not None
        process.stdout.close()


def _read(started: Up) -> None:
    assert started.process.stdout is not None
    for line in started.process.stdout:
        started.lines.append(line.rstrip("\n"))


def until(true: Callable[[], bool], within_s: float, pause_s: float = 0.1) -> bool:
    deadline = time.monotonic() + within_s
    while not true():
        if time.monotonic() > deadline:
            return False
        time.sleep(pause_s)
    return True


def _process_ids() -> list[int]:
    return [int(entry.name) for entry in Path("/proc").iterdir() if entry.name.isdigit()]


def _environment_of(pid: int) -> list[bytes]:
    with suppress(OSError):
        return Path(f"/proc/{pid}/environ").read_bytes().split(b"\0")
    return []


def _processor_s(pid: int) -> float:
    """User and system time of a process and of its children that have ended (proc(5), fields 14 to 17)."""
    with suppress(OSError):
        fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
        return sum(map(int, fields[11:15])) / os.sysconf("SC_CLK_TCK")
    return 0.0


def _is_zombie(pid: int) -> bool:
    with suppress(OSError):
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] == "Z"
    return True
