"""The documents tell the truth."""

import re

from club import environment
from tests.laws.source import ROOT


def test_every_environment_variable_stands_in_the_example_file() -> None:
    example = (ROOT / "deploy" / "sixmark.env.example").read_text(encoding="utf-8")
    named = set(re.findall(r"^#?\s*((?:SIXMARK|XDG)_[A-Z_]+)=", example, re.M))
    assert {name for name in environment.READ if name.startswith("SIXMARK_")} <= named


def test_no_module_reads_the_environment_on_its_own() -> None:
    from tests.laws.source import python_files

    own = [path for path in python_files() if path.name not in {"environment.py", "celery.py", "wsgi.py"}]
    assert [str(path) for path in own if re.search(r"os\.environ|getenv", path.read_text(encoding="utf-8"))] == []


def test_every_command_in_the_readme_exists() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    named = set(re.findall(r"(?<![\w/.])(deploy/[a-z]+)\b(?![./])", readme))
    assert {"deploy/up", "deploy/test", "deploy/backup", "deploy/restore"} <= named
    assert [name for name in named if not (ROOT / name).exists()] == []
