"""What there is to find in what is heard: lines, captions, effects, music.

Thresholds are common practice where no source is named.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from animatic.board.text.yamltree import KeyPath
from animatic.frames import (
    SAMPLE_RATE,
    decimal,
    frames_from_seconds,
    samples_from_frames,
    samples_from_seconds,
    seconds_from_frames,
)
from animatic.timeline.finding import Checked, Finder, Finding, panel_key
from animatic.timeline.model import Line, Panel
from animatic.timeline.reading import LEAST_SECONDS
from animatic.timeline.speakers import odd_speakers
from animatic.timeline.speech import count_words, estimated_length
from animatic.words import counted

__all__ = ["HEARD_FINDERS", "MOST_WORDS_A_MINUTE", "overrunning_dialogue"]

MOST_WORDS_A_MINUTE = 200
"""Above radio delivery (160 to 180, Rodero 2012) and reading aloud (183, Brysbaert 2019)."""
FEWEST_WORDS = 3
"""A call of a word or two has no pace (common practice)."""


def overrunning_dialogue(checked: Checked) -> Iterator[Finding]:
    """A line that goes on beyond its panel."""
    rate = checked.timeline.rate
    for panel in checked.timeline.panels:
        written = checked.board.content.panels[panel.index].dialogue
        for index, line in enumerate(panel.lines):
            over = line.end_frame - panel.end
            if over > 0 and written[index].over == "no":
                what = f"the line of {line.who} runs {counted(over, 'frame')} over its panel's end"
                hint = f"the panel needs {line.end_frame - panel.start}f at {rate}"
                key = panel_key(panel, "dialogue", index)
                yield checked.finding("dialogue", panel.shot, key, what, hint)
            lost = line.end_frame - checked.timeline.frames
            if lost > 0 and written[index].over == "next":
                what = f"the line of {line.who} runs {counted(lost, 'frame')} over the film's end"
                hint = "no shot follows that it could run into: give this one more time"
                key = panel_key(panel, "dialogue", index)
                yield checked.finding("dialogue", panel.shot, key, what, hint)


def _lines_at_once(checked: Checked) -> Iterator[Finding]:
    """A line that begins while another is still spoken."""
    spoken = [
        (line, panel, index)
        for panel in checked.timeline.panels
        for index, line in enumerate(panel.lines)
    ]
    spoken.sort(key=lambda one: one[0].start)
    for (before, _, _), (line, panel, index) in pairwise(spoken):
        frames = before.end_frame - line.first_frame
        if frames > 0:
            early = counted(frames, "frame")
            what = f"the line of {line.who} begins {early} before {before.who}'s ends"
            hint = "both are heard, and two captions stand at once: mean it, or begin it later"
            key = panel_key(panel, "dialogue", index)
            yield checked.finding("together", panel.shot, key, what, hint)


def _tight_dialogue(checked: Checked) -> Iterator[Finding]:
    """More words than can be spoken in the time that a line has.

    Each recording has its own time, and so has a line that may run over the cut. Lines without
    a recording that together run over their panel's end share what the panel leaves them; else
    they have the time that their words take, however fast a scratch voice speaks them.
    """
    for panel in checked.timeline.panels:
        for lines in _timed_together(checked, panel):
            words = sum(count_words(panel.lines[index].text) for index in lines)
            samples = _time_of(checked, panel, lines)
            too_fast = words * 60 * SAMPLE_RATE > MOST_WORDS_A_MINUTE * samples
            if words < FEWEST_WORDS or not too_fast:
                continue
            way = _slower(checked, panel, lines)
            hint = f"over {MOST_WORDS_A_MINUTE} hardly anyone follows: {way}"
            what = f"{words} words have no time at all"
            if samples > 0:
                seconds = Fraction(samples, SAMPLE_RATE)
                pace = decimal(words * 60 / seconds, 0)
                what = f"{words} words in {decimal(seconds, 2)} s are {pace} words a minute"
            key = panel_key(panel, "dialogue", lines[0])
            yield checked.finding("tight", panel.shot, key, what, hint)


def _timed_together(checked: Checked, panel: Panel) -> Iterator[list[int]]:
    """Yield the lines of a panel, by their index, that have one time between them."""
    groups: list[list[int]] = []
    is_open = False
    for index, written in enumerate(checked.board.content.panels[panel.index].dialogue):
        is_alone = _is_recorded(panel.lines[index]) or written.over == "next"
        if is_open and not is_alone and written.at is None:
            groups[-1].append(index)
        else:
            groups.append([index])
        is_open = not is_alone
    for group in groups:
        if _overrun(checked, panel, group[-1]) > 0:
            yield group
        else:
            yield from ([index] for index in group)


def _time_of(checked: Checked, panel: Panel, lines: list[int]) -> int:
    """Return the samples that lines have in which to be spoken; 0 or below for none."""
    line = panel.lines[lines[-1]]
    if not _is_recorded(line) and _overrun(checked, panel, lines[-1]) <= 0:
        entries = checked.board.content.panels[panel.index].dialogue
        lasts = (estimated_length(checked.board, entries[index]) for index in lines)
        return samples_from_seconds(sum(lasts, Fraction(0)))
    samples = sum(panel.lines[index].end - panel.lines[index].start for index in lines)
    if not _is_recorded(line):
        return samples - _overrun(checked, panel, lines[-1])
    if line.voice is not None and (voiced := checked.voiced.get(line.voice)):
        # A pace has its pauses in it, but not the silence that a recording was left with.
        pause = checked.board.content.speech.gap.in_seconds(checked.timeline.rate)
        samples = min(samples, voiced + samples_from_seconds(pause))
    return samples


def _slower(checked: Checked, panel: Panel, lines: list[int]) -> str:
    """Return what would make lines slower that are spoken too fast."""
    line = panel.lines[lines[-1]]
    if _is_recorded(line):
        return "record it again, slower or with fewer words"
    if _overrun(checked, panel, lines[-1]) > 0:
        return "give it time, or cut words"
    cast = checked.board.content.cast.get(line.who)
    whose = f"of {line.who} under cast" if cast and cast.words_per_minute else "under speech"
    return f"lower words_per_minute {whose}"


def _is_recorded(line: Line) -> bool:
    return line.voice is not None and not line.scratch


def _overrun(checked: Checked, panel: Panel, index: int) -> int:
    """Return the samples by which a line ends after its panel, where it may not."""
    if checked.board.content.panels[panel.index].dialogue[index].over == "next":
        return 0
    return panel.lines[index].end - samples_from_frames(panel.end, checked.timeline.rate)


def _short_captions(checked: Checked) -> Iterator[Finding]:
    """A caption that stands for less than a second."""
    for panel in checked.timeline.panels:
        for index, line in enumerate(panel.lines):
            shown = line.end_frame - line.first_frame
            seconds = seconds_from_frames(shown, checked.timeline.rate)
            if seconds < LEAST_SECONDS:
                what = f"the caption of {line.who} stands for {decimal(seconds, 2)} s"
                hint = "a caption needs a second to be seen: give the line more time"
                if len(panel.lines) > 1:
                    hint += ", or join it with its neighbour"
                key = panel_key(panel, "dialogue", index)
                yield checked.finding("caption", panel.shot, key, what, hint)


def _late_effects(checked: Checked) -> Iterator[Finding]:
    """A sound effect that begins only after its panel."""
    timeline = checked.timeline
    for panel in timeline.panels:
        for index, sound in enumerate(checked.board.content.panels[panel.index].sounds):
            if sound.at is None:
                continue
            if sound.at.in_frames(timeline.rate) >= panel.frames:
                what = (
                    f"the sound begins {sound.at} into a panel of {counted(panel.frames, 'frame')}"
                )
                hint = "put it on the panel where it is heard"
                key = panel_key(panel, "sounds", index, "at")
                yield checked.finding("late", panel.shot, key, what, hint)


def _silent_music(checked: Checked) -> Iterator[Finding]:
    """Music that ends before the last shot it was meant for."""
    board, rate = checked.board, checked.timeline.rate
    by_name = {shot.name: shot for shot in checked.timeline.shots}
    for index, music in board.content.played:
        if music.until is None or music.loop:
            continue
        first = by_name[music.from_] if music.from_ else checked.timeline.shots[0]
        wanted = by_name[music.until].end - first.start
        skip = music.skip.in_seconds(rate) if music.skip else 0
        length = board.media.sounds[board.path(music.file)].seconds - skip
        short = wanted - frames_from_seconds(length, rate)
        if short > 0:
            what = f"the music ends {counted(short, 'frame')} before the end of shot {music.until}"
            key = ("music", index, "until")
            yield checked.finding("music", first.name, key, what, "take a longer piece")


def _odd_speakers(checked: Checked) -> Iterator[Finding]:
    """A speaker whose name looks misspelt."""
    first: dict[str, tuple[str, KeyPath]] = {}
    spoken = []
    for panel in checked.timeline.panels:
        for index, line in enumerate(panel.lines):
            spoken.append(line.who)
            first.setdefault(line.who, (panel.shot, panel_key(panel, "dialogue", index, "who")))
    for name, what, hint in odd_speakers(spoken, list(checked.board.content.cast)):
        yield checked.finding("speaker", first[name][0], first[name][1], what, hint)


def _cut_texts(checked: Checked) -> Iterator[Finding]:
    """A text without quotes that ends at a #, as in `line: Take #3 now.`"""
    for path in checked.board.tree.cut:
        if path[0] == "panels" and path[-1] in ("line", "note"):
            what = f"the text of {path[-1]} ends before the #: what follows is a remark"
            hint = "put the text in quotes, if it goes on"
            shot = checked.board.tree.shot("panels", int(path[1]))
            yield checked.finding("remark", shot, path, what, hint)


HEARD_FINDERS: tuple[Finder, ...] = (
    overrunning_dialogue,
    _lines_at_once,
    _tight_dialogue,
    _short_captions,
    _late_effects,
    _silent_music,
    _odd_speakers,
    _cut_texts,
)
