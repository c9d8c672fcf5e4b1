"""A club moves from SQLite to PostgreSQL by its archive, and nothing in it changes."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import connection

from club import archive
from tests.club.archive.taking import installation_without_a_club, taken
from tests.deploy.running import ROOT

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "postgresql", reason="needs PostgreSQL beside SQLite"),
]


def test_a_club_of_sqlite_comes_out_of_postgresql_byte_for_byte(tmp_path: Path) -> None:
    path = tmp_path / "club.jsonl"
    own = {name: value for name, value in os.environ.items() if name != "SIXMARK_DATABASE_URL"}
    own |= {"SIXMARK_DATA": str(tmp_path / "data"), "DJANGO_SETTINGS_MODULE": "tests.settings"}
    command = [sys.executable, "-m", "tests.club.archive.from_sqlite", str(path)]
    done = subprocess.run(command, env=own, cwd=ROOT, capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stderr
    source = path.read_bytes()
    assert source.count(b"\n") > 2000
    with installation_without_a_club():
        assert taken(archive.load(path)) == source
