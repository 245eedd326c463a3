"""Which characters of a film's papers no font at hand can letter."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from animatic.board.keys.schema import SetupEntry
from animatic.fonts import missing_characters
from animatic.sheets.paper import face_for
from animatic.timeline.model import Timeline

__all__ = ["unlettered"]


def unlettered(timeline: Timeline, setups: Mapping[str, SetupEntry]) -> str:
    """Return each character that PDF papers show as `?`, once, in order.

    A text goes in the built-in font or, where that lacks any of it, in the board's.
    """
    font = face_for(timeline.lettering.font).font
    lacking = (missing_characters(words, font) for words in _words(timeline, setups))
    return "".join(dict.fromkeys("".join(lacking)))


def _words(timeline: Timeline, setups: Mapping[str, SetupEntry]) -> Iterator[str]:
    """Yield the texts that the built-in font lacks something of."""
    written = [timeline.title]
    for shot in timeline.shots:
        written += [shot.name, shot.size, shot.setup, *(panel.note or "" for panel in shot.panels)]
        written += [words for line in shot.lines for words in (line.who, line.text)]
        if setup := setups.get(shot.setup):
            parts = (setup.place, setup.camera, setup.lens, setup.note)
            written += [*filter(None, parts), *setup.lights, *setup.opened]
    return (words for words in dict.fromkeys(written) if missing_characters(words, None))
