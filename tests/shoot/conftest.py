"""A board beside a folder for takes, for the tests that need both."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.boards import BoardFolder


@pytest.fixture
def board(tmp_path: Path) -> BoardFolder:
    folder = BoardFolder(tmp_path / "film")
    folder.folder.mkdir()
    folder.photo()
    return folder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "takes"
    made.mkdir()
    return made
