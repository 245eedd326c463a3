"""The exposure sheet, defined once: one row a frame to shoot, for the hands at the camera.

Frames count from 1 over the frames to shoot, so that the last one's number is how many there
are. A handle is beyond what the film shows and has no film frame; an overlap is seen in a
dissolve and has one. Film frames count from 0, as everywhere. Words, and the shapes of the mouth,
are those of the mouth chart.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from animatic.frames import frames_from_samples
from animatic.frames import round_half_up as rounded
from animatic.sheets.table import Cell, Head, as_csv
from animatic.timeline.framing import framing_at
from animatic.timeline.model import Line, Panel, Shot, Timeline
from animatic.timeline.mouths import Chart, Word

__all__ = [
    "GOES_ON",
    "HEADS",
    "Exposed",
    "Heard",
    "Said",
    "exposures",
    "percent",
    "write",
]

Part = Literal["handle", "overlap", "shot"]
Place = tuple[int, int, int]
"""Left, top and width of the framing, in hundredths of a percent of the photo's sides.

They are those of the photo as the film shows it: of a mirrored panel, left is the left of the
mirrored photo, and a step to the right is one to the right in the picture."""

GOES_ON = "|"
"""Stands in a frame in which a word, or a shape of the mouth, goes on."""


@dataclass(frozen=True, slots=True)
class Said:
    """A word in a frame; `goes_on` after a word's first frame.

    `who` stands where the speaker has to be named: at a line's first word, in the first frame
    of a shot into which it runs on, and at every word while another line is heard.
    """

    who: str
    word: str
    goes_on: bool = False
    mouth: str = ""
    """The shape of the mouth that begins here, `GOES_ON`, or nothing where none is known."""
    line: int = 0
    """The number of the line it is of."""
    speaker: str = ""
    """Who speaks the line."""


@dataclass(frozen=True, slots=True)
class Exposed:
    """One frame to shoot."""

    frame: int
    """Counted from 1 over the frames to shoot."""
    part: Part
    film: int | None
    """The film's frame in which it is seen; None in a handle."""
    pose: int
    """Counted from 1 over the shot."""
    is_new: bool
    """Whether the pose is set here; else it is held."""
    panel: Panel
    """The panel that it belongs to; before and after the shot, its outermost one."""
    starts_panel: bool
    said: tuple[Said, ...] = ()
    effects: tuple[str, ...] = ()
    """The names of the effects that start here."""
    place: Place | None = None
    """Where the framing stands, in a shot in which it moves."""
    step: Place | None = None
    """What the framing moved by since the frame before, within a move."""

    @property
    def exposure(self) -> str:
        """'new' or 'held'."""
        return "new" if self.is_new else "held"


class Heard:
    """What is heard in each frame of a film: words with the mouth's shapes, effects that start."""

    def __init__(self, timeline: Timeline, chart: Chart) -> None:
        self.said: Mapping[int, list[Said]] = defaultdict(list)
        self.effects: Mapping[int, list[str]] = defaultdict(list)
        said = [list(_said(line, chart[line.number])) for line in timeline.lines]
        for words in said:
            crowded = _crowded_from(words, said)
            for frame, one in words:
                is_named = not one.goes_on and crowded is not None and frame >= crowded
                self.said[frame].append(replace(one, who=one.speaker) if is_named else one)
        for cue in timeline.cues:
            if cue.bus == "effects":
                frame = frames_from_samples(cue.start, timeline.rate)
                self.effects[frame].append(cue.file.stem)


def _said(line: Line, words: Sequence[Word]) -> Iterator[tuple[int, Said]]:
    """Yield what is said in each frame with voice in it; a pause between words has nothing."""
    by_frame: dict[int, list[str]] = defaultdict(list)
    shapes: dict[int, str] = {}
    voiced: set[int] = set()
    for word in words:
        by_frame[word.start].append(word.text)
        shapes.update(word.shapes)
        voiced.update(range(word.start, word.end))
    of = (line.number, line.who)
    who, shaped = line.who, False
    for frame in sorted(voiced):
        shaped = frame in shapes or (shaped and frame not in by_frame)
        mouth = shapes.get(frame, GOES_ON if shaped else "")
        if frame in by_frame:
            yield frame, Said(who, " ".join(by_frame[frame]), False, mouth, *of)
            who = ""
        else:
            yield frame, Said("", "", True, mouth, *of)


def _crowded_from(
    words: Sequence[tuple[int, Said]], others: Sequence[Sequence[tuple[int, Said]]]
) -> int | None:
    """Return the frame from which a line is heard together with another; None where it is not."""
    found = [
        max(words[0][0], other[0][0])
        for other in others
        if other and words and other is not words
        if other[0][0] <= words[-1][0] and words[0][0] <= other[-1][0]
    ]
    return min(found, default=None)


def exposures(timeline: Timeline, shot: Shot, heard: Heard | None = None) -> tuple[Exposed, ...]:
    """Return a shot's frames to shoot in order; without `heard` nothing is said of sound."""
    return tuple(_rows(timeline, shot, heard))


def _rows(timeline: Timeline, shot: Shot, heard: Heard | None) -> Iterator[Exposed]:
    first = shot.first_to_shoot
    at, panels, before = 0, shot.panels, None
    moves = any(panel.move for panel in panels)
    named: set[int] = set()
    said = heard.said if heard is not None else {}
    effects = heard.effects if heard is not None else {}
    for number, (pose, is_new) in enumerate(_poses(shot)):
        film = first + number
        while at + 1 < len(panels) and film >= panels[at].end:
            at += 1
        panel, part = panels[at], _part(shot, film)
        place = _place(timeline, panel, film - panel.start) if moves else None
        if film == panel.start:
            before = None
        yield Exposed(
            frame=number + 1,
            part=part,
            film=None if part == "handle" else film,
            pose=pose,
            is_new=is_new,
            panel=panel,
            starts_panel=film == panel.start,
            said=() if part == "handle" else tuple(_named(said.get(film, ()), named)),
            effects=() if part == "handle" else tuple(effects.get(film, ())),
            place=place,
            step=_step(before, place) if _is_in_move(panel, film - panel.start) else None,
        )
        before = place


def _named(said: Sequence[Said], named: set[int]) -> Iterator[Said]:
    """Yield what is said with the speaker of each line where it is first heard in a shot."""
    for one in said:
        yield one if one.line in named else replace(one, who=one.speaker)
        named.add(one.line)


def _part(shot: Shot, film: int) -> Part:
    if shot.start <= film < shot.end:
        return "shot"
    is_seen = shot.start - shot.overlap_head <= film < shot.end + shot.overlap_tail
    return "overlap" if is_seen else "handle"


def _poses(shot: Shot) -> Iterator[tuple[int, bool]]:
    """Yield each frame's pose, and whether it is set there."""
    pose = 0
    for frames, shoot_on in shot.exposures:
        for frame in range(frames):
            is_new = frame % shoot_on == 0
            pose += is_new
            yield pose, is_new


def _is_in_move(panel: Panel, frame: int) -> bool:
    return panel.move is not None and panel.move.first <= frame <= panel.move.last


def _place(timeline: Timeline, panel: Panel, frame: int) -> Place:
    """Return where the framing stands at a frame of a panel; beyond its ends it rests."""
    left, top, right, _ = framing_at(panel, timeline.size, frame).source
    width, height = panel.photo_size
    seen = width - right if panel.mirror else left
    parts = (seen / width, top / height, (right - left) / width)
    a, b, c = (rounded(Fraction(part) * 10_000) for part in parts)
    return a, b, c


def _step(before: Place | None, place: Place | None) -> Place | None:
    """Return the change of the rounded places: the steps add up to the whole move."""
    if place is None or before is None:
        return None if place is None else (0, 0, 0)
    return place[0] - before[0], place[1] - before[1], place[2] - before[2]


def percent(hundredths: int, *, signed: bool = False) -> str:
    """Return hundredths of a percent as percent with two places.

    >>> percent(1205), percent(-7, signed=True), percent(0, signed=True)
    ('12.05', '-0.07', '+0.00')
    """
    whole, rest = divmod(abs(hundredths), 100)
    sign = "-" if hundredths < 0 else "+" if signed else ""
    return f"{sign}{whole}.{rest:02}"


HEADS: tuple[Head, ...] = (
    Head("shot", "Shot"),
    Head("frame", "Frame", right=True),
    Head("part", "Part"),
    Head("film_frame", "Film frame", right=True),
    Head("timecode", "Timecode", right=True),
    Head("pose", "Pose", right=True),
    Head("exposure", "Exposure"),
    Head("panel", "Panel", right=True),
    Head("mirrored", "Mirrored"),
    Head("dialogue", "Dialogue"),
    Head("mouth", "Mouth"),
    Head("effects", "Effects"),
    Head("left_percent", "Left %", right=True),
    Head("top_percent", "Top %", right=True),
    Head("width_percent", "Width %", right=True),
    Head("left_step_percent", "Left step %", right=True),
    Head("top_step_percent", "Top step %", right=True),
    Head("width_step_percent", "Width step %", right=True),
    Head("notes", "Notes"),
)
"""The columns of the CSV file; `notes` is left empty for whoever stands at the camera."""


def _cells(timeline: Timeline, shot: Shot, row: Exposed) -> dict[str, Cell]:
    place = [percent(n) for n in row.place] if row.place else [""] * 3
    step = [percent(n) for n in row.step] if row.step else [""] * 3
    # Numbers, not words: a minus sign must not be taken for the start of a formula.
    numbers = [Decimal(text) if text else None for text in (*place, *step)]
    axes = ("left", "top", "width")
    names = [f"{axis}{of}_percent" for of in ("", "_step") for axis in axes]
    return {
        "shot": shot.name,
        "frame": row.frame,
        "part": row.part,
        "film_frame": row.film,
        "timecode": None if row.film is None else timeline.label(row.film),
        "pose": row.pose,
        "exposure": row.exposure,
        "panel": row.panel.number if row.starts_panel else None,
        "mirrored": "mirrored" if row.panel.mirror else None,
        "dialogue": " / ".join(_written(said) for said in row.said),
        "mouth": " / ".join(said.mouth for said in row.said if said.mouth),
        "effects": ", ".join(row.effects),
        **dict(zip(names, numbers, strict=True)),
        "notes": None,
    }


def _written(said: Said) -> str:
    word = GOES_ON if said.goes_on else said.word
    return f"{said.who}: {word}" if said.who else word


def write(timeline: Timeline, shots: Sequence[Shot], chart: Chart) -> str:
    r"""Return the sheets of some shots as one CSV text; lines end in ``\r\n``.

    `chart` is the film's mouth chart: the words of each line by its number.
    """
    heard = Heard(timeline, chart)
    rows = [
        _cells(timeline, shot, row) for shot in shots for row in exposures(timeline, shot, heard)
    ]
    return as_csv(HEADS, rows)
