"""Edit decision lists in the CMX 3600 layout (SMPTE ST 258), for the edit after the shoot.

Each shot is a source of its own whose first frame is the first one shot: its handle, then its
overlap, then the shot. A list holds 999 events at most; a longer film takes several. No list
begins with a transition where that can be helped, since not every program reads one that does.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from animatic.frames import ceil_div
from animatic.sheets.rows import one_line
from animatic.timecode import label_from_frames
from animatic.timeline.model import Shot, Timeline, Transition
from animatic.timeline.take import COUNTED

__all__ = ["Event", "events", "lists", "reel_names", "shortened", "write"]

MOST_EVENTS = 999
MOST_FRAMES = 999
"""Frames of a dissolve or a fade: the layout has three digits for them."""
LINE_WIDTH = 76
"""Characters of a line in the layout; a remark that names a clip may be longer."""
BLACK = "BL"
_FROM_BLACK = (BLACK, 0, "")
_LEADER = "BLACK BEFORE THE FILM, FOR THE TRANSITION AT ITS HEAD TO COME FROM"


@dataclass(frozen=True, slots=True)
class Event:
    """A stretch of one source in the film, frames half-open; `dissolve` frames to get there.

    `outgoing` is the reel before a dissolve, the source frame it has come to, and its clip;
    `remark` is what else there is to say.
    """

    reel: str
    source: tuple[int, int]
    record: tuple[int, int]
    clip: str
    dissolve: int = 0
    outgoing: tuple[str, int, str] = _FROM_BLACK
    remark: str = ""
    media: tuple[str, ...] = ()
    """What is to be done with its clip before the edit."""

    @property
    def alone(self) -> int:
        """Frames after the dissolve that gets there."""
        return self.record[1] - self.record[0] - self.dissolve

    def parted(self, last: int) -> tuple[Event, Event]:
        """Return it as two events with a cut between them; the second has `last` frames."""
        (first, end), (start, stop) = self.source, self.record
        head = replace(self, source=(first, end - last), record=(start, stop - last))
        tail = replace(self, source=(end - last, end), record=(stop - last, stop), remark="")
        return head, replace(tail, dissolve=0, outgoing=_FROM_BLACK)


def reel_names(names: list[str]) -> dict[str, str]:
    """Return a reel name for each shot name: up to 8 of A-Z and 0-9, all different.

    >>> reel_names(["10", "10B", "quay by night", "quay by noon"])
    {'10': 'SH010', '10B': 'SH10B', 'quay by night': 'SHQUAYBY', 'quay by noon': 'SHQUAY02'}
    """
    found: dict[str, str] = {}
    taken: set[str] = {BLACK, "AX"}
    for name in names:
        plain = re.sub(r"[^A-Z0-9]", "", name.upper().encode("ascii", "ignore").decode())
        plain = plain.zfill(3) if plain.isdecimal() else plain
        reel, number = f"SH{plain}"[:8], 2
        while reel in taken or reel == "SH":
            reel = f"{f'SH{plain}'[: 8 - len(f'{number:02}')]}{number:02}"
            number += 1
        taken.add(reel)
        found[name] = reel
    return found


def events(timeline: Timeline) -> Iterator[Event]:
    """Yield the film's events in order; together they cover it without gap.

    A shot that is all transition, as one that fades out over its whole length, has no event of
    its own: it is the outgoing reel of the one after.
    """
    reels = reel_names([shot.name for shot in timeline.shots])
    at = _FROM_BLACK
    for shot in timeline.shots:
        following = timeline.shots[shot.index + 1 : shot.index + 2]
        how, after = _held(shot), _held(following[0]).dissolve if following else 0
        start = shot.start - how.dissolve // 2
        end = shot.end - after // 2 - how.to_black
        first = shot.handles + shot.overlap_head - how.dissolve // 2
        last = first + end - start
        source = timeline.source(shot)
        reel, clip, media = reels[shot.name], source.name, tuple(source.remarks())
        before = _FROM_BLACK if how.from_black else at
        length = how.dissolve or how.from_black
        if start < end:
            remark = _cut_short(shot.transition.dissolve or shot.transition.from_black)
            yield Event(reel, (first, last), (start, end), clip, length, before, remark, media)
        at = (reel, last, clip)
        if how.to_black:
            black = (0, how.to_black)
            remark = _cut_short(shot.transition.to_black)
            yield Event(BLACK, black, (end, shot.end), "", how.to_black, at, remark)


def _held(shot: Shot) -> Transition:
    """Return a shot's transitions as the layout holds them: the rest of a longer one is left out.

    What is left of a dissolve is its middle, of a fade the part that begins or ends in black.
    """
    how = shot.transition
    lengths = (how.dissolve, how.from_black, how.to_black)
    return Transition(*(min(length, MOST_FRAMES) for length in lengths))


def _cut_short(frames: int) -> str:
    """Return the remark on a transition that the layout cannot hold, or nothing."""
    if frames <= MOST_FRAMES:
        return ""
    return f"{frames} FRAMES IN THE FILM; THIS LAYOUT HOLDS {MOST_FRAMES}"


def shortened(timeline: Timeline) -> Iterator[str]:
    """Yield what is to be said of every dissolve and fade that is too long for the layout."""
    for shot in timeline.shots:
        how = shot.transition
        for what, frames in (
            ("dissolve into shot", how.dissolve),
            ("fade in of shot", how.from_black),
            ("fade out of shot", how.to_black),
        ):
            if frames > MOST_FRAMES:
                yield (
                    f"the {what} {one_line(shot.name)} has {frames} frames, and {MOST_FRAMES} in"
                    " the edit decision list, which holds no more: lengthen it in the edit, or"
                    " use the otio list"
                )


def lists(timeline: Timeline) -> list[str]:
    """Return the edit decision lists of the film: one, or as many as its events need."""
    found = list(_shared_out([*_leader(timeline), *events(timeline)]))
    titles = [f" {n} OF {len(found)}" if len(found) > 1 else "" for n in range(1, len(found) + 1)]
    return [_list(timeline, part, title) for part, title in zip(found, titles, strict=True)]


def _leader(timeline: Timeline) -> Iterator[Event]:
    """Yield a second of black before the film, where the film begins with a transition.

    A pair of lines at the head of a list is customary, but a program may want something that
    lies before it. The film's own labels stay; before 00:00:00:00 there is no room.
    """
    length = min(timeline.rate.nominal, timeline.start)
    if length and next(events(timeline)).dissolve:
        yield Event(BLACK, (0, length), (-length, 0), "", remark=_LEADER)


def _shared_out(rest: list[Event]) -> Iterator[list[Event]]:
    """Yield the events of each list; all but the first list begin with a cut.

    Where nothing but transitions is at hand, a shot goes on from one list to the next with a
    cut between two of its frames, which nobody sees.
    """
    while len(rest) > MOST_EVENTS:
        at = next((at for at in range(MOST_EVENTS, 0, -1) if not rest[at].dissolve), 0)
        if not at:
            at = next((at for at in range(MOST_EVENTS, 1, -1) if _can_part(rest[at - 1])), 0)
            if at:
                head, tail = rest[at - 1].parted(ceil_div(rest[at - 1].alone, 2))
                rest = [*rest[: at - 1], head, tail, *rest[at:]]
        yield rest[: at or MOST_EVENTS]
        rest = rest[at or MOST_EVENTS :]
    yield rest


def _can_part(event: Event) -> bool:
    """Whether frames are left for both lists."""
    return event.alone >= (1 if event.dissolve else 2)


def write(timeline: Timeline) -> str:
    """Return all lists, one after the other.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> written = write(lay_out(read_board(Path("demo_board"))))
    >>> print(next(line for line in written.splitlines() if line.startswith("003")))
    003  SH020    V     C        00:00:00:08 00:00:04:04 01:00:06:12 01:00:10:08
    """
    return "\n".join(lists(timeline))


def _list(timeline: Timeline, part: list[Event], number: str) -> str:
    title = one_line(timeline.title).upper()[: LINE_WIDTH - len("TITLE: ") - len(number)]
    lines = [f"TITLE: {title}{number}"]
    lines.append("FCM: DROP FRAME" if timeline.drop else "FCM: NON-DROP FRAME")
    lines.append("")
    for count, event in enumerate(part, 1):
        lines += _lines(timeline, count, event)
        if count == 1:
            lines.append(f"* {COUNTED.upper()}")
    return "\n".join(lines) + "\n"


def _lines(timeline: Timeline, number: int, event: Event) -> Iterator[str]:
    if not event.dissolve:
        yield _line(timeline, number, event.reel, "C", 0, event.source, event.record)
        yield from _named("FROM", event.clip)
        yield from _said(event)
        return
    reel, frame, clip = event.outgoing
    start = event.record[0]
    yield _line(timeline, number, reel, "C", 0, (frame, frame), (start, start))
    yield _line(timeline, number, event.reel, "D", event.dissolve, event.source, event.record)
    yield from _named("FROM", clip)
    yield from _named("TO", event.clip)
    yield from _said(event)


def _said(event: Event) -> Iterator[str]:
    if event.remark:
        yield f"* {event.remark}"
    for words in event.media:
        yield f"* {words.upper()}"


def _named(word: str, clip: str) -> Iterator[str]:
    """Yield the remark that names a clip, whole however long; black has none.

    Programs find the media by it: two names that differ at their ends alone must stay two.
    """
    if clip:
        yield f"* {word} CLIP NAME: {one_line(clip)}"


def _line(
    timeline: Timeline,
    number: int,
    reel: str,
    kind: str,
    length: int,
    source: tuple[int, int],
    record: tuple[int, int],
) -> str:
    frames = f"{length:03}" if length else ""
    labels = [_source_label(timeline, frame) for frame in source]
    labels += [timeline.label(frame) for frame in record]
    return f"{number:03}  {reel:<8} V     {kind:<4} {frames:<3} {' '.join(labels)}"


def _source_label(timeline: Timeline, frame: int) -> str:
    return label_from_frames(frame, timeline.rate, drop=timeline.drop)
