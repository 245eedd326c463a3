"""Data flows one way: which part of the package may import which."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import animatic

PACKAGE = Path(animatic.__file__).parent
GROUND = {
    *("errors", "frames", "timecode", "times", "files", "fonts", "leftwards"),
    *("mediafile", "audiofile", "audiofacts", "videofile", "photofile", "jpegscan", "upright"),
    *("jpegcode", "profile", "srgb", "heap", "words"),
}
MAY_IMPORT = {
    "board": set(),
    "timeline": {"board"},
    "picture": {"timeline"},
    "sound": {"timeline"},
    "film": {"timeline", "picture", "sound"},
    "sheets": {"timeline", "board"},
    "shoot": {"timeline", "board", "sheets"},
    "start": set(),
    "review": {"timeline", "board", "sheets"},
}
MOST_LINES = 400


def imported_parts(file: Path) -> set[str]:
    """Return the names directly under the package that a module imports."""
    found = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module]
            if node.module == "animatic":
                names = [f"animatic.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        else:
            continue
        found |= {name.split(".")[1] for name in names if name.startswith("animatic.")}
    return found


@pytest.mark.parametrize("part", sorted(MAY_IMPORT))
def test_a_stage_imports_only_earlier_ones_and_the_ground_floor(part: str) -> None:
    allowed = MAY_IMPORT[part] | GROUND | {part}
    for file in sorted((PACKAGE / part).rglob("*.py")):
        beyond = imported_parts(file) - allowed
        assert not beyond, f"{file.relative_to(PACKAGE)} imports {', '.join(sorted(beyond))}"


def test_within_the_board_text_comes_first_then_keys_then_edits() -> None:
    for part, beyond in {"text": {"keys", "edits"}, "keys": {"edits"}, "edits": set()}.items():
        for file in sorted((PACKAGE / "board" / part).glob("*.py")):
            found = set(
                re.findall(r"(?:from|import) animatic\.board\.(\w+)", file.read_text("utf-8"))
            )
            # What lies in board/ itself is made of the three.
            later = found - {"text", "keys", "edits"} | found & beyond
            assert not later, f"{file.relative_to(PACKAGE)} imports {', '.join(sorted(later))}"


def test_the_ground_floor_imports_no_stage() -> None:
    for name in sorted(GROUND):
        beyond = imported_parts(PACKAGE / f"{name}.py") - GROUND
        assert not beyond, f"{name}.py imports {', '.join(sorted(beyond))}"


def test_no_file_is_too_long_to_keep_in_mind() -> None:
    files = [*PACKAGE.rglob("*.py"), *Path(__file__).parent.rglob("*.py")]
    long = [str(f) for f in files if len(f.read_text(encoding="utf-8").splitlines()) > MOST_LINES]
    assert long == []
