"""The one check, `.ci/run`, and the two commands that README tells a reader to type."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.system_packages import need_program

ROOT = Path(__file__).parent.parent
PURE_FILE = "coach/planning/breathing/forgotten.py"


def lines_of(name: str) -> list[str]:
    return (ROOT / name).read_text(encoding="utf-8").splitlines()


def readme_commands() -> list[str]:
    """Give what README tells a reader to type before there is a coach."""
    return [line for line in lines_of("README.md") if line.startswith("python3 ")]


def test_the_check_runs_the_test_command_of_the_readme() -> None:
    (reads,) = [line for line in lines_of(".ci/run") if line.startswith("tests=")]
    told = subprocess.run(
        ["bash", "-c", f'{reads}; printf "%s" "$tests"'],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    assert told.stdout in readme_commands()
    assert "uv run pytest " in told.stdout
    runs = 'bash -c "$tests --cov '
    assert any(line.startswith(runs) for line in lines_of(".ci/run"))


def test_the_readme_installs_nothing_into_the_systems_own_python() -> None:
    """That is refused where an EXTERNALLY-MANAGED file lies beside it (PEP 668)."""
    assert len(readme_commands()) == 2
    for command in readme_commands():
        first, *then = command.split(" && ")
        assert first == "python3 -m venv .venv"
        assert then
        assert all(word.startswith(".venv/bin/") for word in then)


def test_the_gate_sees_a_file_in_a_folder_of_a_pure_room(tmp_path: Path) -> None:
    file = tmp_path / PURE_FILE
    file.parent.mkdir(parents=True)
    file.write_text("def never() -> int:\n    return 1\n", encoding="utf-8")
    coverage = [sys.executable, "-m", "coverage"]
    subprocess.run([*coverage, "run", PURE_FILE], cwd=tmp_path, check=True)
    (gate,) = re.findall(r"coverage (report .*)", "\n".join(lines_of(".ci/run")))
    told = subprocess.run(
        ["bash", "-c", f"{sys.executable} -m coverage {gate}"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert told.returncode == 2
    assert PURE_FILE in told.stdout


def test_what_needs_a_server_that_is_missing_is_skipped_and_names_the_package(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv("CI", raising=False)
    with pytest.raises(pytest.skip.Exception, match="install the package harpd2"):
        need_program("no-such-harpd", "harpd2")
    monkeypatch.setenv("CI", "1")
    with pytest.raises(pytest.fail.Exception, match="install the package harpd2"):
        need_program("no-such-harpd", "harpd2")


def guide_commands() -> list[str]:
    """Find the quick test commands of the guide's recipes."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    return re.findall(r"`uv run pytest -q ([^`]+)`", text)


def test_each_recipe_names_its_quick_test() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    recipes = text.partition(". How to\n")[2].partition("\n## ")[0].split("\n- **")[1:]
    added = ("an instrument", "an etude", "a setting", "a kind of mark", "a key")
    changed = ("golden plans show", "a screen looks like", "a score is read")
    for words in (*(f"Add {thing}" for thing in (*added, "a screen")), *changed):
        (recipe,) = [r for r in recipes if r.partition("**")[0].endswith(words)]
        assert "`uv run pytest -q " in recipe, words


@pytest.mark.parametrize("command", guide_commands())
def test_what_a_quick_test_runs_is_there(command: str) -> None:
    paths = [word for word in command.split() if not word.startswith("-")]
    assert paths
    assert [path for path in paths if not (ROOT / path).exists()] == []
