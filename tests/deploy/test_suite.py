"""deploy/test itself: a failure is never lost, an empty part is noticed, and the last line counts."""

from pathlib import Path

import pytest

from deploy import Refused, services, suite
from deploy.data_folder import ROOT
from deploy.suite import Outcome, Part, Surroundings


def _outcome(name: str = "sqlite", **values: int) -> Outcome:
    counts = {"passed": 3, "failed": 0, "skipped": 0} | values
    return Outcome(name, counts["passed"], counts["failed"], counts["skipped"], 0.1, "")


def _last_line(capsys: pytest.CaptureFixture[str]) -> str:
    return capsys.readouterr().out.rstrip().splitlines()[-1]


def test_all_passed_is_a_success_and_the_last_line_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    assert suite._report([_outcome(), _outcome("browser", passed=4)], some_may_be_empty=False) == 0
    assert _last_line(capsys) == "7 passed, 0 failed"


def test_one_failure_in_an_early_part_fails_the_whole(capsys: pytest.CaptureFixture[str]) -> None:
    assert suite._report([_outcome(failed=1), _outcome("browser", skipped=2)], some_may_be_empty=False) == 1
    assert _last_line(capsys) == "6 passed, 1 failed, 2 skipped"


def test_a_part_without_any_test_is_a_failure(capsys: pytest.CaptureFixture[str]) -> None:
    empty = Outcome("browser", 0, 0, 0, 0.0, "", ran_none=True)
    assert suite._report([_outcome(), empty], some_may_be_empty=False) == 1
    assert _last_line(capsys) == "3 passed, 1 failed"


def test_a_developer_s_choice_may_leave_a_part_empty_but_not_all(capsys: pytest.CaptureFixture[str]) -> None:
    empty = Outcome("browser", 0, 0, 0, 0.0, "", ran_none=True)
    assert suite._report([_outcome(), empty], some_may_be_empty=True) == 0
    assert suite._report([empty], some_may_be_empty=True) == 1


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ("def test_a(): pass\ndef test_b(): assert 0\n", (1, 1, 0)),
        ("import pytest\n@pytest.fixture\ndef bad(): 1 / 0\ndef test_a(bad): pass\n", (0, 1, 0)),
        ("import pytest\ndef test_a(): pytest.skip('why')\ndef test_b(): pass\n", (1, 0, 1)),
        ("import nothing_of_this_name\n", (0, 1, 0)),
        ("def test_a(): pass\ndef test_b():\n    import os\n    os._exit(3)\n", (0, 1, 0)),
    ],
    ids=["failure", "error", "skip", "import error", "crash"],
)
def test_what_pytest_found_is_counted(tmp_path: Path, body: str, expected: tuple[int, int, int]) -> None:
    tests = tmp_path / "tests"
    tests.mkdir()
    (tests / "test_inner.py").write_text(body, encoding="utf-8")
    (tests / "pytest.ini").write_text("[pytest]\nmarkers =\n  browser\n  processes\n", encoding="utf-8")
    around = Surroundings(tmp_path, "", "")
    options = ["-c", str(tests / "pytest.ini"), "-p", "no:django", "-p", "no:cacheprovider", str(tests)]
    with suite._Lanes(around, options) as lanes:
        outcome = lanes.run(Part("inner", "not browser"))
    assert (outcome.passed, outcome.failed, outcome.skipped) == expected, outcome.printed


def test_a_run_uses_no_setting_of_a_real_site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SIXMARK_DATABASE_URL", "postgresql://real/club")
    monkeypatch.setenv("SIXMARK_ALLOWED_HOSTS", "club.example")
    variables = Surroundings(tmp_path, "postgresql://own", "redis://own").variables(Part("inner", "x"))
    assert "SIXMARK_DATABASE_URL" not in variables and "SIXMARK_ALLOWED_HOSTS" not in variables
    assert variables["SIXMARK_DATA"] == str(tmp_path / "inner")


def test_every_shell_script_is_checked() -> None:
    names = {script.name for script in suite._shell_scripts()}
    assert names == {"up", "test", "backup", "restore", "lock", "install.sh", "run"}


def test_every_core_is_typed_strictly() -> None:
    assert {"club/roles.py", "club/scope.py", "deploy"} < set(suite._typed())
    assert {path for path in suite._typed() if "core" in path} >= {"club/core", "drills/core", "athletes/core"}


@pytest.mark.parametrize("program", sorted(services.PACKAGES.values()))
def test_a_missing_program_is_named_with_the_package_to_install(program: str, monkeypatch: pytest.MonkeyPatch) -> None:
    package = next(package for package, of in services.PACKAGES.items() if of == program)
    monkeypatch.setattr(services, "find", lambda name: None if name == program else f"/usr/bin/{name}")
    monkeypatch.setattr("deploy.services.shutil.which", lambda name: None)
    with pytest.raises(Refused, match=f"sudo apt-get install -y {package}$"):
        services.install_missing()


@pytest.mark.parametrize("name", ["requirements.lock", "requirements-test.lock"])
def test_a_lock_names_no_host_and_hashes_everything(name: str) -> None:
    text = (ROOT / "deploy" / name).read_text(encoding="utf-8")
    assert "://" not in text and "--index" not in text
    pins = [line for line in text.splitlines() if line and not line.startswith((" ", "#"))]
    assert pins and all("==" in line and line.endswith("\\") for line in pins)


def test_the_test_lock_holds_the_same_versions_as_the_one_that_ships() -> None:
    shipped, tested = (
        {line.rstrip(" \\") for line in (ROOT / "deploy" / name).read_text().splitlines() if "==" in line}
        for name in ("requirements.lock", "requirements-test.lock")
    )
    assert shipped <= tested
