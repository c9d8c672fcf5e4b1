"""A family of child processes: started together, restarted when one dies, ended together.

The children are forked from a supervisor that has loaded the site already, so that four
processes cost one start of the interpreter. Each leads its own process group, and asks the kernel
to be told to end if the supervisor goes away, even by SIGKILL. Linux only.
"""

import ctypes
import os
import signal
import sys
import time
import traceback
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

PR_SET_PDEATHSIG, PR_SET_NAME = 1, 15  # linux/prctl.h
FIRST_PAUSE_S, LONGEST_PAUSE_S, STEADY_AFTER_S = 0.2, 30.0, 10.0
WATCHED = frozenset({signal.SIGCHLD, signal.SIGTERM, signal.SIGINT, signal.SIGHUP})
_libc = ctypes.CDLL(None, use_errno=True)


class Ended(Exception):
    """A person or the system asked the family to end."""


@dataclass(frozen=True, slots=True)
class Role:
    """What one child does. run: does not return until the child shall end."""

    name: str
    run: Callable[[], object]
    nice: int = 0


@dataclass(slots=True)
class Child:
    role: Role
    log: Path
    pid: int = 0
    started: float = 0.0
    pause_s: float = FIRST_PAUSE_S
    due: float = 0.0
    deaths: int = 0

    @property
    def alive(self) -> bool:
        return self.pid != 0


def spawn(run: Callable[[], object], *, name: str, output: int, nice: int = 0) -> int:
    """Forks a child that runs this and exits 0, or 1 with the traceback on its output. Returns its id."""
    supervisor = os.getpid()
    sys.stdout.flush()
    sys.stderr.flush()
    pid = os.fork()
    if pid:
        with suppress(OSError):  # the child does the same; whoever comes first wins
            os.setpgid(pid, pid)
        return pid
    status = 1
    try:
        _become_child(supervisor, name=name, output=output, nice=nice)
        run()
        status = 0
    except SystemExit as exit_:
        status = exit_.code if isinstance(exit_.code, int) else int(exit_.code is not None)
        if isinstance(exit_.code, str):
            print(exit_.code, file=sys.stderr)
    except BaseException:  # a child must never return into the supervisor's code
        traceback.print_exc()
    finally:
        with suppress(Exception):
            sys.stdout.flush()
            sys.stderr.flush()
        os._exit(status)


def _become_child(supervisor: int, *, name: str, output: int, nice: int) -> None:
    with suppress(OSError):
        os.setpgid(0, 0)
    die_with_parent(signal.SIGTERM)
    _libc.prctl(PR_SET_NAME, f"sixmark-{name}"[:15].encode(), 0, 0, 0)
    if os.getppid() != supervisor:  # it died before the kernel was asked
        os._exit(1)
    for watched in WATCHED:
        signal.signal(watched, signal.SIG_DFL)
    signal.signal(signal.SIGINT, signal.default_int_handler)
    signal.pthread_sigmask(signal.SIG_UNBLOCK, WATCHED)
    nothing = os.open(os.devnull, os.O_RDONLY)
    os.dup2(nothing, 0)
    os.dup2(output, 1)
    os.dup2(output, 2)
    os.nice(nice)


def die_with_parent(number: signal.Signals) -> None:
    """Asks the kernel to send this process that signal as soon as its parent is gone, however it went."""
    _libc.prctl(PR_SET_PDEATHSIG, number, 0, 0, 0)


def watch_signals() -> None:
    """From here on the family's signals wait until `next_signal` asks for them."""
    signal.pthread_sigmask(signal.SIG_BLOCK, WATCHED)


def next_signal(timeout_s: float) -> None:
    """Sleeps until a child ends or the time is over. Raises Ended when asked to end."""
    info = signal.sigtimedwait(WATCHED, timeout_s)
    if info is not None and info.si_signo != signal.SIGCHLD:
        raise Ended(signal.Signals(info.si_signo).name)


def run_job(run: Callable[[], object], *, name: str) -> tuple[int, str]:
    """Runs it in a child and waits. Returns its exit code and all that it printed. Raises Ended when asked to end."""
    reading, writing = os.pipe()
    os.set_blocking(reading, False)
    pid = spawn(run, name=name, output=writing)
    os.close(writing)
    printed = bytearray()
    with os.fdopen(reading, "rb", buffering=0) as pipe:
        while True:
            finished, status = os.waitpid(pid, os.WNOHANG)
            while piece := pipe.read(65536):
                printed += piece
            if finished:
                return os.waitstatus_to_exitcode(status), printed.decode("utf-8", "replace")
            try:
                next_signal(0.05)
            except Ended:
                _signal(os.killpg, pid, signal.SIGKILL)
                os.waitpid(pid, 0)
                raise


@dataclass(slots=True)
class Family:
    """roles: who is in it, in starting order. log_file: where each writes. changed: told of starts and deaths."""

    roles: tuple[Role, ...]
    log_file: Callable[[str], Path]
    changed: Callable[[dict[str, int]], None] = lambda pids: None
    children: list[Child] = field(default_factory=list)

    def start(self) -> None:
        self.children = [Child(role, self.log_file(role.name)) for role in self.roles]
        for child in self.children:
            self._start(child)
        self._tell()

    def tend(self, timeout_s: float) -> None:
        """Waits a while, buries the dead and starts again whose pause is over. Raises Ended."""
        now = time.monotonic()
        waits = [child.due - now for child in self.children if not child.alive]
        next_signal(max(0.01, min([timeout_s, *waits])))
        changed = self._bury()
        now = time.monotonic()
        for child in self.children:
            if not child.alive and child.due <= now:
                self._start(child)
                changed = True
        if changed:
            self._tell()

    def end(self, patience_s: float = 10.0) -> None:
        """Asks all to end, waits, kills what is left. A second Ctrl-C cuts the patience short."""
        for child in self.children:
            child.due = float("inf")
            if child.alive:
                _signal(os.kill, child.pid, signal.SIGTERM)
        deadline = time.monotonic() + patience_s
        while any(child.alive for child in self.children) and time.monotonic() < deadline:
            try:
                next_signal(0.2)
            except Ended:
                break
            self._bury()
        for child in self.children:
            if child.alive:
                _signal(os.killpg, child.pid, signal.SIGKILL)
                os.waitpid(child.pid, 0)
                child.pid = 0

    def _start(self, child: Child) -> None:
        output = os.open(child.log, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        try:
            child.pid = spawn(child.role.run, name=child.role.name, output=output, nice=child.role.nice)
        finally:
            os.close(output)
        child.started = time.monotonic()

    def _bury(self) -> bool:
        """Reaps every child that has ended and ends what it left behind in its group."""
        buried = False
        for child in self.children:
            if child.alive and os.waitpid(child.pid, os.WNOHANG)[0]:
                _signal(os.killpg, child.pid, signal.SIGKILL)
                self._plan_return(child)
                buried = True
        return buried

    def _plan_return(self, child: Child) -> None:
        now = time.monotonic()
        if now - child.started > STEADY_AFTER_S:
            child.pause_s = FIRST_PAUSE_S
        child.pid, child.deaths = 0, child.deaths + 1
        if child.due != float("inf"):
            child.due = now + child.pause_s
        child.pause_s = min(child.pause_s * 2, LONGEST_PAUSE_S)

    def _tell(self) -> None:
        self.changed({child.role.name: child.pid for child in self.children})


def _signal(send: Callable[[int, int], None], target: int, number: int) -> None:
    with suppress(ProcessLookupError):
        send(target, number)
