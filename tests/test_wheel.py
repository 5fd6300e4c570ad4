"""The wheel carries all it needs: installed into a fresh environment, it starts."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


def uv(*words: str | Path) -> None:
    """Run uv, showing what it said if it fails."""
    result = subprocess.run(
        ["uv", *map(str, words)], check=False, capture_output=True, text=True
    )
    assert result.returncode == 0, result.stderr


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    uv("build", "--wheel", "--quiet", "--out-dir", folder, ROOT)
    (path,) = folder.glob("*.whl")
    return path


def test_the_wheel_carries_settings_and_etudes(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    for folder, pattern in (("config", "*.toml"), ("etudes", "*.musicxml")):
        here = sorted((ROOT / folder).rglob(pattern))
        assert here
        assert {
            f"coach/shipped/{path.relative_to(ROOT).as_posix()}" for path in here
        } <= names


def test_the_installed_program_plans_a_shipped_etude(
    wheel: Path, tmp_path: Path
) -> None:
    uv("venv", "--quiet", "--python", sys.executable, tmp_path / "env")
    scripts = "Scripts" if sys.platform == "win32" else "bin"
    python = tmp_path / "env" / scripts / "python"
    uv("pip", "install", "--quiet", "--python", python, wheel)
    etude = min((ROOT / "etudes").glob("*.musicxml"), key=lambda p: p.stat().st_size)
    environment = {**os.environ, "COACH_HOME": str(tmp_path / "home")}
    environment.pop("PYTHONPATH", None)
    result = subprocess.run(
        [python, "-m", "coach", "plan", etude.stem, "--json"],
        check=False,
        capture_output=True,
        text=True,
        cwd=tmp_path,
        env=environment,
    )
    assert result.returncode == 0, result.stderr
    assert json.loads(result.stdout)["schema"] == 1
