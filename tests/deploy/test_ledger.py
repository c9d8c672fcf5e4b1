"""The ledger of erased ids: joined from wherever a copy lies, and never read past damage."""

from pathlib import Path

import pytest

from deploy import Refused, backup


def test_the_ledgers_of_the_live_data_the_backup_and_its_folder_are_joined(tmp_path: Path) -> None:
    for name, lines in {"live": '{"n": 1}\n{"n": 2}\n', "inside": '{"n": 2}\n', "beside": '{"n": 3}\n\n'}.items():
        (tmp_path / name).write_text(lines, encoding="utf-8")
    joined = backup._joined([tmp_path / name for name in ("live", "inside", "beside", "absent")])
    assert joined == ['{"n": 1}', '{"n": 2}', '{"n": 3}']


def test_a_damaged_ledger_stops_a_restore_rather_than_bring_anybody_back(tmp_path: Path) -> None:
    (tmp_path / "ledger").write_text('{"n": 1}\n{"n"', encoding="utf-8")
    with pytest.raises(Refused, match="line 2"):
        backup._joined([tmp_path / "ledger"])
