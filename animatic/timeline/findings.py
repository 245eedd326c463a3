"""What `check` thinks the film-maker should look at. Nothing here stops the film.

Each finding is one function in `FINDERS`: it takes a `Film` and yields findings. Thresholds
are common practice where no source is named.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from animatic.board import Board
from animatic.board.keys.fields import SHOT_SIZES
from animatic.board.text.yamltree import KeyPath
from animatic.errors import MediaError, Place
from animatic.fonts import missing_characters
from animatic.frames import decimal, frames_from_seconds, seconds_from_frames
from animatic.timeline.framing import scale
from animatic.timeline.level import levels
from animatic.timeline.model import Panel, Shot, Timeline
from animatic.timeline.reading import LEAST_SECONDS, reading_seconds
from animatic.timeline.speakers import odd_speakers
from animatic.timeline.speech import count_words

__all__ = ["FINDERS", "Film", "Finder", "Finding", "findings"]

FEWEST_FRAMES = 6
"""A panel shorter than this is hardly seen (common practice)."""
MOST_WORDS_A_MINUTE = 200
"""Above radio delivery (160 to 180, Rodero 2012) and reading aloud (183, Brysbaert 2019)."""
LONGEST_HOLD_SECONDS = 8
"""A still picture that stands longer than this looks stuck (common practice)."""
MOST_ENLARGEMENT = 1.0
"""Canvas pixels for each photo pixel; beyond it the picture is made of fewer pixels than shown."""
ODD_ASPECT = 1.5
"""How far the shapes of photo and picture may differ before a cut or bars get very large."""


@dataclass(frozen=True, slots=True)
class Finding:
    """Something worth a look: where, about which shot, in words, and what could be done."""

    place: Place
    kind: str
    shot: str
    words: str
    hint: str = ""

    def as_dict(self) -> dict[str, str | int]:
        """Return the finding for JSON."""
        return {
            "kind": self.kind,
            "shot": self.shot,
            "file": self.place.file,
            "line": self.place.line,
            "column": self.place.column,
            "found": self.words,
            "hint": self.hint,
        }

    def __str__(self) -> str:
        return f"{self.place}: shot {self.shot}: {self.words}{self.hint and '; ' + self.hint}"


@dataclass(frozen=True, slots=True)
class Film:
    """What a finder looks at."""

    board: Board
    timeline: Timeline

    def finding(self, kind: str, shot: str, key: KeyPath, words: str, hint: str = "") -> Finding:
        """Return a finding at the place of a key path."""
        return Finding(self.board.place(key), kind, shot, words, hint)


Finder = Callable[[Film], Iterator[Finding]]


def findings(board: Board, timeline: Timeline, more: Iterable[Finder] = ()) -> list[Finding]:
    """Return all findings in the order of the board; `more` are finders of later stages.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> board = read_board(Path("demo_board"))
    >>> [(one.kind, one.shot) for one in findings(board, lay_out(board))]
    [('photo', '90')]
    """
    film = Film(board, timeline)
    found = [finding for finder in (*FINDERS, *more) for finding in finder(film)]
    return sorted(found, key=lambda finding: (finding.place, finding.kind))


def _key(panel: Panel, *more: str | int) -> KeyPath:
    return ("panels", panel.index, *more)


def _broken_poses(film: Film) -> Iterator[Finding]:
    """A shot that is not a whole number of poses."""
    for shot in film.timeline.shots:
        for panels in _runs(shot):
            frames, shoot_on = sum(p.frames for p in panels), panels[0].shoot_on
            if rest := frames % shoot_on:
                leave = "leaves" if frames == 1 else "leave"
                what = f"{_counted(frames)} on {_on(shoot_on)} {leave} {rest} for the last pose"
                hint = f"{frames - rest}f or {frames - rest + shoot_on}f would be whole poses"
                yield film.finding("poses", shot.name, _key(panels[0], "duration"), what, hint)


def _counted(frames: int) -> str:
    return "1 frame" if frames == 1 else f"{frames} frames"


def _on(shoot_on: int) -> str:
    return {1: "ones", 2: "twos", 3: "threes", 4: "fours"}.get(shoot_on, f"{shoot_on}s")


def _runs(shot: Shot) -> Iterator[list[Panel]]:
    """Yield the stretches of one `shoot_on` in a shot."""
    run: list[Panel] = []
    for panel in shot.panels:
        if run and panel.shoot_on != run[-1].shoot_on:
            yield run
            run = []
        run.append(panel)
    yield run


def _overrunning_dialogue(film: Film) -> Iterator[Finding]:
    """A line that goes on beyond its panel."""
    rate = film.timeline.rate
    for panel in film.timeline.panels:
        written = film.board.content.panels[panel.index].dialogue
        for index, line in enumerate(panel.lines):
            over = line.end_frame - panel.end
            if over > 0 and written[index].over == "no":
                what = f"the line of {line.who} runs {_counted(over)} over its panel's end"
                hint = f"the panel needs {line.end_frame - panel.start}f at {rate}"
                key = _key(panel, "dialogue", index)
                yield film.finding("dialogue", panel.shot, key, what, hint)


def _short_reading(film: Film) -> Iterator[Finding]:
    """Lettered dialogue that stands too short to be read."""
    if not film.timeline.lettering.dialogue:
        return
    for panel in film.timeline.panels:
        texts = [line.text for line in panel.lines]
        needed, words = reading_seconds(texts), sum(count_words(text) for text in texts)
        shown = seconds_from_frames(panel.frames, film.timeline.rate)
        if shown < needed:
            spoken = (
                "1 word of dialogue stands" if words == 1 else f"{words} words of dialogue stand"
            )
            what = f"{spoken} for {decimal(shown, 1)} s"
            hint = f"reading them takes {decimal(needed, 1)} s"
            yield film.finding("reading", panel.shot, _key(panel), what, hint)


def _small_photos(film: Film) -> Iterator[Finding]:
    """A photo with fewer pixels than the picture, after its crop."""
    for panel in film.timeline.panels:
        enlarged = scale(panel, film.timeline.size)
        if enlarged > MOST_ENLARGEMENT:
            width, height = panel.photo_size
            what = f"the photo ({width}x{height}) is enlarged {enlarged:.2f} times"
            hint = "use a larger photo or a wider crop, or accept a soft picture"
            yield film.finding("photo", panel.shot, _key(panel, "photo"), what, hint)


def _uneven_photos(film: Film) -> Iterator[Finding]:
    """A photo too far from the others of its setup to be evened."""
    shown: dict[tuple[str, str], Panel] = {}
    for shot in film.timeline.shots:
        for panel in shot.panels:
            written = film.board.content.panels[panel.index].photo
            shown.setdefault((shot.setup, written), panel)
    for one in levels(film.board):
        if one.is_limited:
            panel = shown[one.setup, one.photo]
            way = "up" if one.wanted > 0 else "down"
            what = (
                f"evening it would bring the photo {way} by {abs(one.wanted) / 100:.1f} stops;"
                f" it is brought {way} by {abs(one.exposure) / 100:.1f}"
            )
            hint = "take it again, or correct it in a photo program"
            yield film.finding("level", panel.shot, _key(panel, "photo"), what, hint)


def _odd_aspects(film: Film) -> Iterator[Finding]:
    """A photo whose shape, after its crop, is far from the picture's."""
    width, height = film.timeline.size
    for panel in film.timeline.panels:
        across = panel.photo_size[0] * panel.crop.width
        down = panel.photo_size[1] * panel.crop.height
        ratio = (across / down) / (width / height)
        if max(ratio, 1 / ratio) > ODD_ASPECT:
            lost = 100 - 100 / max(ratio, 1 / ratio)
            if panel.fit == "cover":
                what = f"to fill the picture, {lost:.0f} % of the photo is cut away"
                hint = "choose what stays with crop, or write fit: contain"
            else:
                what = f"bars fill {lost:.0f} % of the picture"
                hint = "a crop nearer to the picture's shape would fill it"
            yield film.finding("aspect", panel.shot, _key(panel, "photo"), what, hint)


def _jumps(film: Film) -> Iterator[Finding]:
    """Neighbouring shots of one setup and one size: the cut between them will jump."""
    shots = film.timeline.shots
    for before, after in pairwise(shots):
        one_setup = before.setup and before.setup == after.setup
        first, second = before.panels[-1].size, after.panels[0].size
        framing = set(first.split()) & set(SHOT_SIZES)
        if one_setup and first == second and framing and not after.transition.dissolve:
            what = f"cuts from shot {before.name} on one setup ({after.setup}) and size ({second})"
            hint = "such a cut jumps: change the size, the angle by 30 degrees, or the setup"
            yield film.finding("jump", after.name, _key(after.panels[0]), what, hint)


def _broken_lines(film: Film) -> Iterator[Finding]:
    """Neighbouring shots of one setup in which the figure looks the other way after the cut."""
    for before, after in pairwise(film.timeline.shots):
        first, second = before.panels[-1].looks, after.panels[0].looks
        one_setup = before.setup and before.setup == after.setup
        if one_setup and first and second and first != second:
            what = f"looks {second}, and shot {before.name} before it looks {first}"
            hint = (
                f"on one setup ({after.setup}) the camera seems to cross the line: mirror one,"
                " or put a neutral shot between them"
            )
            yield film.finding("line", after.name, _key(after.panels[0], "looks"), what, hint)


def _short_panels(film: Film) -> Iterator[Finding]:
    """A panel of very few frames."""
    for panel in film.timeline.panels:
        if panel.frames < FEWEST_FRAMES:
            what = f"panel {panel.number} lasts {_counted(panel.frames)}"
            hint = f"under {FEWEST_FRAMES} frames a picture is hardly seen; fast cuts can flash"
            yield film.finding("short", panel.shot, _key(panel), what, hint)


def _missing_glyphs(film: Film) -> Iterator[Finding]:
    """Characters that the lettering's font cannot draw."""
    lettering = film.timeline.lettering
    for panel in film.timeline.panels:
        written = [panel.shot] if lettering.shot and panel.number == 1 else []
        if lettering.dialogue:
            written += [f"{line.who} {line.text}" for line in panel.lines]
        try:
            lacking = missing_characters(" ".join(written), lettering.font)
        except MediaError:
            return
        if lacking:
            what = f"the font has no glyph for {' '.join(lacking)}"
            hint = "name a font that has them under lettering: font"
            yield film.finding("glyph", panel.shot, _key(panel), what, hint)


def _tight_dialogue(film: Film) -> Iterator[Finding]:
    """More words in a panel than can be spoken in its time."""
    for panel in film.timeline.panels:
        words = sum(count_words(line.text) for line in panel.lines)
        seconds = seconds_from_frames(panel.frames, film.timeline.rate)
        pace = words * 60 / seconds
        if pace > MOST_WORDS_A_MINUTE:
            what = f"{words} words in {decimal(seconds, 1)} s are {decimal(pace, 0)} words a minute"
            hint = f"over {MOST_WORDS_A_MINUTE} hardly anyone follows: give it time, or cut words"
            yield film.finding("tight", panel.shot, _key(panel), what, hint)


def _long_holds(film: Film) -> Iterator[Finding]:
    """A photo that stands long without a move."""
    for panel in film.timeline.panels:
        seconds = seconds_from_frames(panel.frames, film.timeline.rate)
        if panel.move is None and seconds > LONGEST_HOLD_SECONDS:
            what = f"panel {panel.number} holds for {decimal(seconds, 1)} s without a move"
            hint = "a move, another panel or a cut would carry it"
            yield film.finding("hold", panel.shot, _key(panel), what, hint)


def _short_captions(film: Film) -> Iterator[Finding]:
    """A caption that stands for less than a second."""
    for panel in film.timeline.panels:
        for index, line in enumerate(panel.lines):
            shown = line.end_frame - line.first_frame
            seconds = seconds_from_frames(shown, film.timeline.rate)
            if seconds < LEAST_SECONDS:
                what = f"the caption of {line.who} stands for {decimal(seconds, 2)} s"
                hint = "a caption needs a second to be seen; join it with its neighbour"
                key = _key(panel, "dialogue", index)
                yield film.finding("caption", panel.shot, key, what, hint)


def _late_effects(film: Film) -> Iterator[Finding]:
    """A sound effect that begins only after its panel."""
    timeline = film.timeline
    for panel in timeline.panels:
        for index, sound in enumerate(film.board.content.panels[panel.index].sounds):
            if sound.at is None:
                continue
            if sound.at.in_frames(timeline.rate) >= panel.frames:
                what = f"the sound begins {sound.at} into a panel of {_counted(panel.frames)}"
                hint = "put it on the panel where it is heard"
                key = _key(panel, "sounds", index, "at")
                yield film.finding("late", panel.shot, key, what, hint)


def _silent_music(film: Film) -> Iterator[Finding]:
    """Music that ends before the last shot it was meant for."""
    board, rate = film.board, film.timeline.rate
    by_name = {shot.name: shot for shot in film.timeline.shots}
    for index, music in enumerate(board.content.music):
        if music.until is None or music.loop:
            continue
        first = by_name[music.from_] if music.from_ else film.timeline.shots[0]
        wanted = by_name[music.until].end - first.start
        skip = music.skip.in_seconds(rate) if music.skip else 0
        length = board.media.sounds[board.path(music.file)].seconds - skip
        short = wanted - frames_from_seconds(length, rate)
        if short > 0:
            what = f"the music ends {_counted(short)} before the end of shot {music.until}"
            key = ("music", index, "until")
            yield film.finding("music", first.name, key, what, "take a longer piece")


def _odd_speakers(film: Film) -> Iterator[Finding]:
    """A speaker whose name looks misspelt."""
    first: dict[str, tuple[str, KeyPath]] = {}
    spoken = []
    for panel in film.timeline.panels:
        for index, line in enumerate(panel.lines):
            spoken.append(line.who)
            first.setdefault(line.who, (panel.shot, _key(panel, "dialogue", index, "who")))
    for name, what, hint in odd_speakers(spoken, list(film.board.content.cast)):
        yield film.finding("speaker", first[name][0], first[name][1], what, hint)


def _cut_texts(film: Film) -> Iterator[Finding]:
    """A text without quotes that ends at a #, as in `line: Take #3 now.`"""
    for path in film.board.tree.cut:
        if path[0] == "panels" and path[-1] in ("line", "note"):
            what = f"the text of {path[-1]} ends before the #: what follows is a remark"
            hint = "put the text in quotes, if it goes on"
            shot = film.board.tree.shot("panels", int(path[1]))
            yield film.finding("remark", shot, path, what, hint)


FINDERS: tuple[Finder, ...] = (
    _broken_poses,
    _overrunning_dialogue,
    _tight_dialogue,
    _short_reading,
    _short_captions,
    _long_holds,
    _small_photos,
    _uneven_photos,
    _odd_aspects,
    _jumps,
    _broken_lines,
    _short_panels,
    _missing_glyphs,
    _late_effects,
    _silent_music,
    _odd_speakers,
    _cut_texts,
)
