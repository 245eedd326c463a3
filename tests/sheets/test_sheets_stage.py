"""What the sheets stage may import: earlier stages and the ground floor, nothing heavy."""

from __future__ import annotations

import subprocess
import sys


def loaded(statement: str) -> set[str]:
    script = f"{statement}\nimport sys\nprint(*sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    return set(done.stdout.split())


LATER = {f"animatic.{stage}" for stage in ("picture", "sound", "film", "shoot")}
WRITERS = [
    f"animatic.sheets.{name}" for name in ("comma", "markdown", "jsonlist", "terminal", "captions")
]


def test_the_stage_loads_its_writers_only_when_they_are_used() -> None:
    modules = loaded("import animatic.sheets")
    assert "animatic.sheets" in modules
    assert not modules & {*WRITERS, "rich"}


def test_the_writers_load_no_picture_no_sound_and_no_film() -> None:
    modules = loaded(f"import {', '.join(WRITERS)}")
    assert modules >= set(WRITERS)
    assert not modules & {*LATER, "moviepy"}
