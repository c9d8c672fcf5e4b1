"""Web and workers killed outright, all at once, while tablets are sending: what was answered for is there, once.

The same with more kills, and of a database server too: ``python -m tests.faults.kills``.
"""

import random
from pathlib import Path

import pytest

from deploy.listening import free_port
from tests.faults.forked import Duties
from tests.faults.siege import Siege, installation, site, tablets_of

pytestmark = pytest.mark.processes

KILLS = 20
SEED = 26


def test_after_twenty_kills_of_everything_all_that_was_answered_for_is_there_once_and_counted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    port = free_port()
    with (
        installation(tmp_path) as where,
        site(where, tmp_path / "log", port) as crew,
        tablets_of(crew, port, SEED) as tablets,
    ):
        siege = Siege(where, crew, tablets, random.Random(SEED), Duties(where))
        siege.begin()
        for _ in range(KILLS):
            siege.round(siege.kill_site)
        siege.end()
        with capsys.disabled():
            print(f"\n{dict(siege.kinds)}, {siege.late} late; {dict(siege.states)}; {siege.broken} requests broken")
            print(f"duties in hand at a kill: {siege.in_hand}")
        assert siege.odd == [], siege.log
        assert set(siege.states) <= {"accepted", "duplicate"}
        assert siege.wrong() == []
        assert siege.misfigured() == [], siege.log
    assert len(siege.sent) > 200 and siege.broken >= KILLS, "too little was going on to prove anything"
    assert siege.kinds.keys() >= {"rep", "set", "void", "correction"} and siege.late, "not all kinds of things happened"
    assert sum(count > 0 for count in siege.in_hand) >= 3, f"too few kills fell into a roll-up: {siege.in_hand}"
