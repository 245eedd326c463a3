"""What is kept of scripts that were sent: every numbering once, whole, the newest first."""

from __future__ import annotations

from pathlib import Path

from animatic.board.sent import Said, keep_script, kept_scripts

FIRST = [Said(1, "Nell", "Où?", "10"), Said(2, "Odd", "Here.", "20")]
SECOND = [Said(1, "Odd", "Here.", "20"), Said(2, "Nell", "Où?", "10")]


def kept(file: Path) -> list[list[Said]]:
    scripts, damaged = kept_scripts(file)
    assert damaged == []
    return [list(script.lines) for script in scripts]


def test_every_numbering_is_kept_once_and_one_that_is_sent_again_is_the_newest(
    tmp_path: Path,
) -> None:
    file = tmp_path / "board.yaml"
    assert kept(file) == []
    keep_script(file, FIRST)
    keep_script(file, FIRST)
    assert kept(file) == [FIRST]
    keep_script(file, SECOND)
    assert kept(file) == [SECOND, FIRST]
    keep_script(file, FIRST)
    assert kept(file) == [FIRST, SECOND]
    assert kept(tmp_path / "other.yaml") == []


def test_what_does_not_hold_what_its_name_says_is_named_and_stays(tmp_path: Path) -> None:
    file = tmp_path / "board.yaml"
    keep_script(file, FIRST)
    keep_script(file, SECOND)
    newest = sorted((tmp_path / ".animatic" / "board.yaml" / "scripts").iterdir())[-1]
    newest.write_text(newest.read_text().replace("Here", "There"))
    scripts, damaged = kept_scripts(file)
    assert [list(script.lines) for script in scripts] == [FIRST]
    assert damaged == [newest]
    keep_script(file, SECOND)
    scripts, damaged = kept_scripts(file)
    assert [list(script.lines) for script in scripts] == [SECOND, FIRST]
    assert damaged == [newest]
