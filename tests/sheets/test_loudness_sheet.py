"""How loud the film is: one line, a table, and values for a program."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from boards import HEAD, BoardFolder, panels

from animatic.cli import run
from animatic.sheets.loudness import as_line, as_page, as_table, values
from animatic.timeline.model import Bus


@dataclass
class Read:
    integrated: float | None = None
    range: float | None = None
    true_peak: float | None = None


@dataclass
class Found:
    target: float | None = -23.0
    gain_db: float = 4.449
    held: float = 0.0
    film: Read = field(default_factory=lambda: Read(-23.04, 7.25, -1.349))
    buses: Mapping[Bus, Read] = field(
        default_factory=lambda: {
            "dialogue": Read(-21.0, None, -3.0),
            "effects": Read(None, None, -30.0),
            "music": Read(),
        }
    )


def test_one_line() -> None:
    assert as_line(Found()) == (
        "sound: -23.0 LUFS, range 7.3 LU, true peak -1.3 dBTP;"
        " dialogue -21.0, effects not measured, music silent"
    )
    assert "true peak -1.3 dBTP, limited by 2.4 dB; " in as_line(Found(held=2.35))


def test_a_silent_film_and_a_short_one() -> None:
    silent = Found(film=Read(), buses={bus: Read() for bus in ("dialogue", "effects", "music")})
    assert as_line(silent) == "sound: silent"
    assert as_line(Found(film=Read(None, None, -6.0))).startswith(
        "sound: not measured, true peak -6.0 dBTP; "
    )


def test_the_table_and_the_page() -> None:
    assert as_table(Found(held=2.35)).splitlines() == [
        "part              lufs  range lu  true peak dbtp",
        "film             -23.0       7.3            -1.3",
        "dialogue         -21.0                      -3.0",
        "effects   not measured                     -30.0",
        "music           silent",
        "the mix is changed by +4.4 dB towards -23 LUFS,"
        " the limiter holds peaks back by up to 2.4 dB",
    ]
    page = as_page(Found(target=None, gain_db=-0.04))
    assert page.startswith("## Loudness\n\n| Part ")
    assert page.endswith("\n\nthe mix is left as it is\n")


def test_values_have_no_words_and_null_where_there_is_nothing() -> None:
    content = values(Found())
    assert list(content) == ["target", "gain", "limited", "film", "dialogue", "effects", "music"]
    assert content["music"] == {"lufs": None, "range": None, "true_peak": None}


def test_sounds_and_assemble_tell_the_same(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """EBU Tech 3341, case 1, 10 dB too soft: 1 kHz at -33 dBFS on both sides."""
    board = BoardFolder(tmp_path)
    board.photo()
    board.tone("tone.wav", 240_000, hertz=1000, height=10 ** (-33 / 20))
    board.write(panels("- {shot: 1, photo: a.jpg, duration: 5s, sounds: [{file: tone.wav}]}", HEAD))
    assert run(["assemble", str(board.folder)]) == 0
    told = "sound: -23.0 LUFS, range 0.0 LU, true peak -23.0 dBTP; "
    assert f"{told}dialogue silent, effects -23.0, music silent" in capsys.readouterr().out
    written = (board.folder / "out" / "sound.json").read_text(encoding="utf-8")
    assert "Infinity" not in written
    assert "NaN" not in written
    assert run(["sounds", str(board.folder), "--format", "json"]) == 0
    listed = json.loads(capsys.readouterr().out)
    loudness = json.loads(written)["loudness"]
    assert listed["loudness"] == loudness
    assert loudness["film"]["lufs"] == pytest.approx(-23, abs=0.05)
    assert loudness["gain"] == pytest.approx(10, abs=0.05)
    assert loudness["dialogue"] == {"lufs": None, "range": None, "true_peak": None}
    for form in ("table", "md"):
        assert run(["sounds", str(board.folder), "--format", form]) == 0
        shown = capsys.readouterr().out
        assert "the mix is changed by +10.0 dB towards -23 LUFS" in shown
        assert "silent" in shown
