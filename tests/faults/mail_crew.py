"""Loads the site once, makes a club whose mails wait, and forks workers that send them.

Started by the tests of this folder: ``python -m tests.faults.mail_crew``. ``queue N`` queues N more mails to the coach
and N about a child (to her mother, and to herself); ``work`` starts a worker that drains the queue and ends. Each is
answered with a line. Workers lead their own groups, so that they can be killed whole.
"""

import os
import signal
import sys

import django

django.setup()

from django.db import connection, transaction  # noqa: E402
from django.utils import timezone  # noqa: E402

from club import duties  # noqa: E402
from club.mail.actions import Reader, send  # noqa: E402
from club.mail.letters import Letter, Part  # noqa: E402
from club.models import Person  # noqa: E402
from tests.builders import Cast, make_cast  # noqa: E402


def letter(number: int) -> "object":
    def write(reader: Reader) -> Letter:
        return Letter(f"Number {number}", (Part("Well run."),), "/", "Page")

    return write


def queue(cast: Cast, first: int, count: int) -> None:
    for number in range(first, first + count):
        for person in (cast.assistant.person, cast.athlete.person):
            values = {"kind": "changes", "key": str(number), "write": letter(number), "now": timezone.now()}
            with transaction.atomic():
                send(by=cast.head_coach, to=person, **values)  # type: ignore[arg-type]


def work() -> int:
    pid = os.fork()
    if pid:
        return pid
    try:
        os.setpgid(0, 0)
        os.dup2(2, 1)
        duties.drain(duties.QUICK)
        os._exit(0)
    finally:
        os._exit(1)


if __name__ == "__main__":
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)
    duties.ring = lambda name: None  # nobody listens: the test says when a worker starts
    cast, made = make_cast(), 0
    for member in (cast.assistant, cast.athlete, cast.parent):
        Person.objects.filter(pk=member.person.pk).update(email=f"{member.person.given_name.lower()}@home.example")
    Person.objects.filter(pk=cast.athlete.person.pk).update(birth_date="2013-01-01")
    connection.close()
    print("ready", flush=True)
    for line in sys.stdin:
        what, _, number = line.strip().partition(" ")
        if what == "queue":
            queue(cast, made, int(number))
            made += int(number)
            connection.close()
            print(made, flush=True)
        else:
            print(work(), flush=True)
