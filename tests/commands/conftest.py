"""A player's folder of one's own for every test, with the etudes already read."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from coach.config import shipped
from coach.edges.scores.score_files import read_part


@pytest.fixture(scope="session")
def read_etudes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Read every shipped etude once; give the cache that keeps them."""
    home = tmp_path_factory.mktemp("read")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("COACH_HOME", str(home))
        for path in sorted(shipped("etudes").glob("*.musicxml")):
            read_part(path)
    return home / "cache"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, read_etudes: Path) -> Path:
    """Give every test a player who has seen the shelf and nothing else."""
    folder = tmp_path / "home"
    shutil.copytree(read_etudes, folder / "cache")
    monkeypatch.setenv("COACH_HOME", str(folder))
    return folder
