"""How loud the film is, and each of its buses: one line, a table, or values for a program.

Sheets never import the sound; what it read is handed in.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Protocol

from animatic.frames import round_half_up
from animatic.sheets.table import Cell, Head, as_json, as_markdown, as_text
from animatic.timeline.model import Bus, Timeline

__all__ = ["Programme", "Reading", "as_file", "as_line", "as_page", "as_table", "values"]

HEADS = (
    Head("part", "Part"),
    Head("lufs", "LUFS", right=True),
    Head("range", "Range LU", right=True),
    Head("true_peak", "True peak dBTP", right=True),
)
_SILENT = "silent"
_ORDER: tuple[Bus, ...] = ("dialogue", "effects", "music")


class Reading(Protocol):
    """What a meter reads; None where there is nothing to read."""

    @property
    def integrated(self) -> float | None:
        """LUFS over the whole."""

    @property
    def range(self) -> float | None:
        """LU between the quiet and the loud parts."""

    @property
    def true_peak(self) -> float | None:
        """The highest point, in dBTP; None only where it is silent."""


class Programme(Protocol):
    """How loud a film is, and what was done for it."""

    @property
    def target(self) -> float | None:
        """LUFS that were asked for."""

    @property
    def gain_db(self) -> float:
        """By how much the mix was changed, in dB."""

    @property
    def held(self) -> float:
        """By how much the limiter holds peaks back at most, in dB."""

    @property
    def film(self) -> Reading:
        """What a meter reads on the finished film."""

    @property
    def buses(self) -> Mapping[Bus, Reading]:
        """What it reads on each bus, as it is in the finished film."""


def _tenths(level: float | None) -> Decimal | None:
    return None if level is None else Decimal(round_half_up(Fraction(level) * 10)).scaleb(-1)


def _parts(programme: Programme) -> dict[str, Reading]:
    return {"film": programme.film, **{bus: programme.buses[bus] for bus in _ORDER}}


def _is_silent(reading: Reading) -> bool:
    return reading.true_peak is None


def _level(reading: Reading) -> str:
    if _is_silent(reading):
        return _SILENT
    lufs = _tenths(reading.integrated)
    return "not measured" if lufs is None else str(lufs)


def as_line(programme: Programme) -> str:
    """Return one line on the whole sound.

    A sound with a peak and no loudness is too short, or too soft, for the meter.
    """
    film = programme.film
    if _is_silent(film):
        return "sound: silent"
    words = [f"{_level(film)} LUFS" if film.integrated is not None else _level(film)]
    if film.range is not None:
        words.append(f"range {_tenths(film.range)} LU")
    words.append(f"true peak {_tenths(film.true_peak)} dBTP")
    if programme.held:
        words.append(f"limited by {_tenths(programme.held)} dB")
    buses = ", ".join(f"{bus} {_level(programme.buses[bus])}" for bus in _ORDER)
    return f"sound: {', '.join(words)}; {buses}"


def _rows(programme: Programme) -> list[dict[str, Cell]]:
    return [
        {
            "part": part,
            "lufs": _level(reading),
            "range": _tenths(reading.range),
            "true_peak": _tenths(reading.true_peak),
        }
        for part, reading in _parts(programme).items()
    ]


def _done(programme: Programme) -> str:
    """Return what was done to the sum of the buses."""
    change = _tenths(programme.gain_db)
    if not change and not programme.held:
        return "the mix is left as it is"
    wanted = f" towards {_number(programme.target)} LUFS" if programme.target is not None else ""
    held = f", the limiter holds peaks back by up to {_tenths(programme.held)} dB"
    return f"the mix is changed by {change:+} dB{wanted}{held if programme.held else ''}"


def _number(value: float | None) -> str:
    return f"{value:g}" if value is not None else ""


def as_table(programme: Programme) -> str:
    """Return the readings of film and buses as plain text."""
    return f"{as_text(HEADS, _rows(programme))}\n{_done(programme)}\n"


def as_page(programme: Programme) -> str:
    """Return the readings of film and buses as a section of a Markdown page."""
    return f"## Loudness\n\n{as_markdown(HEADS, _rows(programme))}\n\n{_done(programme)}\n"


def values(programme: Programme) -> dict[str, object]:
    """Return the readings for a program: numbers to two places, None where there is none."""
    parts = {
        part: {
            "lufs": _hundredths(reading.integrated),
            "range": _hundredths(reading.range),
            "true_peak": _hundredths(reading.true_peak),
        }
        for part, reading in _parts(programme).items()
    }
    return {
        "target": programme.target,
        "gain": _hundredths(programme.gain_db),
        "limited": _hundredths(programme.held),
        **parts,
    }


def _hundredths(level: float | None) -> Decimal | None:
    return None if level is None else Decimal(round_half_up(Fraction(level) * 100)).scaleb(-2)


def as_file(timeline: Timeline, programme: Programme) -> str:
    """Return how loud the film is as a JSON file."""
    content = {
        "title": timeline.title,
        "rate": timeline.rate.name,
        "loudness": values(programme),
    }
    return as_json(content)
