"""What holds for every test: a cache folder of its own, never the user's, no scratch voice."""

from __future__ import annotations

from collections.abc import Iterator

import pytest


@pytest.fixture(scope="session", autouse=True)
def private_cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Send what the package keeps between runs to a folder of this run (of each worker's own).

    The environment is changed, so that commands started by a test keep to it too.
    """
    folder = tmp_path_factory.mktemp("cache")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(folder))
        yield


@pytest.fixture(scope="session", autouse=True)
def silent_lines() -> Iterator[None]:
    """Leave lines without a recording silent, whether or not the extra voice is installed."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("animatic.board.voices.find_engine", lambda: None)
        yield
