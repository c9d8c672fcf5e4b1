"""Loads the site once and forks real Celery workers and their schedule from there, as deploy/up does.

Started by the tests of this folder: ``python -m tests.faults.crew``. Each line of its input is the arguments of one
process of Celery; it answers with that process's id. Each leads its own group, so that it can be killed whole.
"""

import os
import signal
import sys

import django

django.setup()

from club.celery import app  # noqa: E402

app.loader.import_default_modules()


def start(arguments: list[str]) -> int:
    pid = os.fork()
    if pid:
        return pid
    try:
        os.setpgid(0, 0)
        signal.signal(signal.SIGCHLD, signal.SIG_DFL)
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        os.dup2(2, 1)
        app.start(arguments)
    finally:
        os._exit(1)


if __name__ == "__main__":
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for the dead
    print("ready", flush=True)
    for line in sys.stdin:
        print(start(line.split()), flush=True)
