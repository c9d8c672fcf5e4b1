"""Law 1: imports go one way."""

from importlinter.cli import lint_imports

from tests.laws.source import ROOT, python_files


def test_the_contracts_of_one_way_imports_are_kept(monkeypatch) -> None:
    monkeypatch.chdir(ROOT)
    assert lint_imports(no_cache=True, no_logo=True) == 0


def test_every_room_stands_in_the_contract() -> None:
    rooms = {path.parent.name for path in python_files("apps.py") if path.parent.parent.name == "sessions"}
    text = (ROOT / ".importlinter").read_text(encoding="utf-8")
    block = text.split("inside sessions")[1].split("[importlinter")[0]
    named = {word for word in block.replace("|", " ").split() if word.isidentifier()}
    assert rooms <= named
