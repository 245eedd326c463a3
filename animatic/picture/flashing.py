"""Where a film flashes more than is borne: looked for where its pictures change that often."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from animatic.timecode import label_from_frames
from animatic.timeline.findings import Checked, Finding
from animatic.timeline.model import Lettering, Timeline
from animatic.timeline.spans import Span, spans

__all__ = ["MOST_CHANGES", "flashing"]

MOST_CHANGES = 6
"""Changes of light within one second that are borne: three flashes (WCAG 2.2, 2.3.1)."""
_HEIGHT = 108
"""Rows of the small pictures that are measured."""


def flashing(checked: Checked) -> Iterator[Finding]:
    """Yield a finding wherever the film has more than three flashes in a second, once a time.

    The light within a take, or a move, is not looked into where no cuts are as fast.
    MediaError for a photo that cannot be read.
    """
    timeline = checked.timeline
    stretches = list(_busy(timeline))
    if not stretches:
        return
    # Here, since nearly no film comes so far, and these load numpy and Pillow.
    from animatic.picture.flashes import FlashMeter
    from animatic.picture.maker import PictureMaker

    width, height = timeline.size
    small = replace(
        timeline,
        size=(max(1, width * _HEIGHT // height), _HEIGHT),
        lettering=Lettering(shot=False, size=False, dialogue=False),
    )
    maker = PictureMaker(small)
    for stretch in stretches:
        meter = FlashMeter(timeline.rate.fps, MOST_CHANGES)
        most, at = 0, 0
        for frame in _frames(stretch):
            changes = meter.push(frame, maker.frame(frame))
            if meter.failing and changes > most:
                most, at = changes, frame
            elif most and not meter.failing:
                yield _finding(checked, most, at)
                most = 0
        if most:
            yield _finding(checked, most, at)


def _finding(checked: Checked, changes: int, frame: int) -> Finding:
    timeline = checked.timeline
    panel = next(panel for panel in timeline.panels if panel.start <= frame < panel.end)
    label = label_from_frames(timeline.start + frame, timeline.rate, drop=timeline.drop)
    what = f"the light changes {changes} times in the second up to {label}"
    hint = (
        "more than three flashes a second can bring on a seizure (WCAG 2.2, 2.3.1): hold the"
        " pictures longer, or bring them closer in brightness"
    )
    return checked.finding("flash", panel.shot, ("panels", panel.index), what, hint)


def _busy(timeline: Timeline) -> Iterator[list[Span]]:
    """Yield the stretches of spans in which so much changes within a second that it may flash."""
    found = spans(timeline)
    points = list(_points(found))
    marked: set[int] = set()
    for first, last in zip(points, points[MOST_CHANGES:], strict=False):
        if Fraction(last[0] - first[0]) < timeline.rate.fps:
            # What the first change comes from belongs to it.
            marked.update(range(first[1] - 1, last[1] + 1))
    stretch: list[Span] = []
    for at in sorted(marked):
        if stretch and at - 1 not in marked:
            yield stretch
            stretch = []
        stretch.append(found[at])
    if stretch:
        yield stretch


def _points(found: Sequence[Span]) -> Iterator[tuple[int, int]]:
    """Yield the frames at which the light may change, each with the number of its span.

    It may at a span's start. Where a picture goes over into another, or moves, it may once
    more, at any time: at the start and at the end stand for that.
    """
    for number, span in enumerate(found):
        if number:
            yield span.start, number
        if number and not span.is_still:
            yield span.start, number
            yield span.end - 1, number


def _frames(stretch: list[Span]) -> Iterator[int]:
    """Yield the frames that differ from the ones before them."""
    for span in stretch:
        yield from [span.start] if span.is_still else range(span.start, span.end)
