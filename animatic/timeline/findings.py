"""What `check` thinks the film-maker should look at. Nothing here stops the film.

Each finding is one function in `FINDERS`: it takes a `Checked` and yields findings. Thresholds
are common practice where no source is named.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from pathlib import Path

from animatic.board import Board
from animatic.board.keys.fields import SHOT_SIZES
from animatic.errors import MediaError, listed
from animatic.fonts import missing_characters
from animatic.frames import decimal, seconds_from_frames
from animatic.timeline.finding import Checked, Finder, Finding, panel_key
from animatic.timeline.fits import ends_taken
from animatic.timeline.framing import scale
from animatic.timeline.heardfindings import HEARD_FINDERS
from animatic.timeline.holds import Hold, holds
from animatic.timeline.least import frames_for_move
from animatic.timeline.level import Levelled, Untold, levels
from animatic.timeline.model import Panel, Shot, Timeline
from animatic.timeline.movefindings import MOVE_FINDERS
from animatic.timeline.reading import reading_seconds
from animatic.timeline.speech import count_words
from animatic.words import counted, ones

__all__ = ["FINDERS", "Checked", "Finder", "Finding", "broken_poses", "findings"]

FEWEST_FRAMES = 6
"""A panel shorter than this is hardly seen (common practice)."""
LONGEST_HOLD_SECONDS = 8
"""A still picture that stands longer than this looks stuck (common practice)."""
MOST_ENLARGEMENT = 1.0
"""Canvas pixels for each photo pixel; beyond it the picture is made of fewer pixels than shown."""
ODD_ASPECT = 1.5
"""How far the shapes of photo and picture may differ before a cut or bars get very large."""


def findings(
    board: Board,
    timeline: Timeline,
    more: Iterable[Finder] = (),
    voiced: Mapping[Path, int] | None = None,
) -> list[Finding]:
    """Return all findings in the order of the board.

    `more` are finders of later stages; `voiced` says of recordings how many samples at 48 kHz
    lie from their first voice to their last.

    >>> from pathlib import Path
    >>> from animatic.board import read_board
    >>> from animatic.timeline import lay_out
    >>> board = read_board(Path("demo_board"))
    >>> [(one.kind, one.shot) for one in findings(board, lay_out(board))]
    [('photo', '90')]
    """
    checked = Checked(board, timeline, voiced or {})
    found = [finding for finder in (*FINDERS, *more) for finding in finder(checked)]
    return sorted(found, key=lambda finding: (finding.place, finding.kind))


def broken_poses(checked: Checked) -> Iterator[Finding]:
    """A shot that is not a whole number of poses."""
    for shot in checked.timeline.shots:
        runs = list(_runs(shot))
        for panels in runs:
            frames, shoot_on = sum(p.frames for p in panels), panels[0].shoot_on
            # Where another pace follows, what is shot before the cut shifts the poses.
            is_shifted = panels is runs[0] and len(runs) > 1
            before = shot.handles + shot.overlap_head if is_shifted else 0
            if rest := (before + frames) % shoot_on:
                leave = "leaves" if frames == 1 else "leave"
                there = f"{counted(frames, 'frame')} on {ones(shoot_on)}"
                there += f", with {before} shot before them," if before else ""
                what = f"{there} {leave} {rest} for the last pose"
                fewer, more = frames - rest, frames - rest + shoot_on
                ways = [f"{fewer}f"] * _can_have(checked, shot, panels, fewer) + [f"{more}f"]
                hint = f"{' or '.join(ways)} would be whole poses"
                yield checked.finding(
                    "poses", shot.name, panel_key(panels[0], "duration"), what, hint
                )


def _can_have(checked: Checked, shot: Shot, panels: list[Panel], frames: int) -> bool:
    """Whether a stretch of a shot may have so few frames: what is laid on it needs some."""
    entries = [checked.board.content.panels[panel.index] for panel in panels]
    least = sum(max(1, frames_for_move(entry, checked.timeline.rate)) for entry in entries)
    others = shot.frames - sum(panel.frames for panel in panels)
    return frames >= least and others + frames >= sum(ends_taken(shot, checked.timeline.shots))


def _runs(shot: Shot) -> Iterator[list[Panel]]:
    """Yield the stretches of one `shoot_on` in a shot."""
    run: list[Panel] = []
    for panel in shot.panels:
        if run and panel.shoot_on != run[-1].shoot_on:
            yield run
            run = []
        run.append(panel)
    yield run


def _short_reading(checked: Checked) -> Iterator[Finding]:
    """Lettered dialogue that stands too short to be read."""
    if not checked.timeline.lettering.dialogue:
        return
    for panel in checked.timeline.panels:
        texts = [line.text for line in panel.lines]
        needed, words = reading_seconds(texts), sum(count_words(text) for text in texts)
        # Words that go on over the cut stand as long as they are spoken.
        ends = [panel.end, *(line.end_frame for line in panel.lines)]
        stands = min(max(ends), checked.timeline.frames) - panel.start
        shown = seconds_from_frames(stands, checked.timeline.rate)
        if shown < needed:
            stand = "stands" if words == 1 else "stand"
            what = f"{counted(words, 'word')} of dialogue {stand} for {decimal(shown, 1)} s"
            hint = f"reading them takes {decimal(needed, 1)} s"
            yield checked.finding("reading", panel.shot, panel_key(panel), what, hint)


def _small_photos(checked: Checked) -> Iterator[Finding]:
    """A photo with fewer pixels than the picture, after its crop."""
    for panel in checked.timeline.panels:
        enlarged = scale(panel, checked.timeline.size)
        if enlarged > MOST_ENLARGEMENT:
            width, height = panel.photo_size
            what = f"the photo ({width}x{height}) is enlarged {enlarged:.2f} times"
            hint = "use a larger photo or a wider crop, or accept a soft picture"
            yield checked.finding("photo", panel.shot, panel_key(panel, "photo"), what, hint)


def _uneven_photos(checked: Checked) -> Iterator[Finding]:
    """A photo too far from the others of its setup to be evened."""
    shown: dict[tuple[str, str], Panel] = {}
    for shot in checked.timeline.shots:
        for panel in shot.panels:
            written = checked.board.content.panels[panel.index].photo
            shown.setdefault((shot.setup, written), panel)
    evened = levels(checked.board)
    for one in evened:
        if one.is_limited:
            panel = shown[one.setup, one.photo]
            way = "up" if one.wanted > 0 else "down"
            what = (
                f"evening it would bring the photo {way} by {abs(one.wanted) / 100:.1f} stops;"
                f" it is brought {way} by {abs(one.exposure) / 100:.1f}"
            )
            hint = (
                "take it again, or correct it in a photo program; or are its exposure data wrong?"
            )
            yield checked.finding("level", panel.shot, panel_key(panel, "photo"), what, hint)
    for setup in dict.fromkeys(one.setup for one in evened):
        of_setup = [(one, shown[setup, one.photo]) for one in evened if one.setup == setup]
        yield from _unlike_its_exposure(checked, of_setup)
        yield from _untold_photos(checked, of_setup)


def _unlike_its_exposure(
    checked: Checked, photos: Sequence[tuple[Levelled, Panel]]
) -> Iterator[Finding]:
    """Photos of a setup that show other light than what the camera wrote down would give."""
    apart = [(one.apart, panel) for one, panel in photos if one.apart]
    if not apart:
        return
    panels = [panel for _, panel in apart]
    first = min(panels, key=lambda panel: panel.index)
    most = max(abs(stops) for stops, _ in apart) / 100
    show = "show" if len(panels) > 1 else "shows"
    other = f"up to {most:.1f} stops" if len(panels) > 1 else f"{most:.1f} stops"
    if len({stops > 0 for stops, _ in apart}) > 1:
        other += " more or less"
    else:
        other += " more" if apart[0][0] > 0 else " less"
    what = (
        f"beside others of setup {photos[0][0].setup}, {_photos_of(panels)} {show} {other} light"
        " than the exposures that the camera wrote down would give"
    )
    hint = "a lamp, the daylight or a filter changed, or what the camera wrote down is wrong;"
    hint += " where photos show the same, level: even goes by what they show"
    yield checked.finding("level", first.shot, panel_key(first, "photo"), what, hint)


def _untold_photos(checked: Checked, photos: Sequence[tuple[Levelled, Panel]]) -> Iterator[Finding]:
    """Photos of a setup that nothing can be told of beside the others."""
    untold = [(one, panel) for one, panel in photos if one.untold]
    if not untold:
        return
    panels = [panel for _, panel in untold]
    first = min(panels, key=lambda panel: panel.index)
    missing, unknown = _UNTOLD[untold[0][0].untold]
    share = "share" if len(panels) > 1 else "shares"
    what = (
        f"{_photos_of(panels)} {share} nothing with the rest of setup {untold[0][0].setup}, and"
        f" not all hold {missing}: nothing tells {unknown}"
    )
    hint = "look for flicker at these cuts; exposure and white balance set by hand end it"
    yield checked.finding("level", first.shot, panel_key(first, "photo"), what, hint)


_UNTOLD = {
    Untold.EXPOSURE: ("exposure data", "how light they should be"),
    Untold.WHITE: ("a white balance set by hand", "which white they should have"),
}


def _photos_of(panels: Sequence[Panel]) -> str:
    """Return whose photos are meant, as "the photos of shots 10, 20, 30"."""
    shots = list(dict.fromkeys(panel.shot for panel in sorted(panels, key=lambda p: p.index)))
    which = f"shots {listed(shots)}" if len(shots) > 1 else f"shot {shots[0]}"
    return f"the photos of {which}" if len(panels) > 1 else f"the photo of {which}"


def _odd_aspects(checked: Checked) -> Iterator[Finding]:
    """A photo whose shape, after its crop, is far from the picture's."""
    width, height = checked.timeline.size
    for panel in checked.timeline.panels:
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
            yield checked.finding("aspect", panel.shot, panel_key(panel, "photo"), what, hint)


def _jumps(checked: Checked) -> Iterator[Finding]:
    """Neighbouring shots of one setup and one size: the cut between them will jump."""
    shots = checked.timeline.shots
    for before, after in pairwise(shots):
        one_setup = before.setup and before.setup == after.setup
        first, second = before.panels[-1].size, after.panels[0].size
        framing = set(first.split()) & set(SHOT_SIZES)
        if one_setup and first == second and framing and not after.transition.dissolve:
            what = f"cuts from shot {before.name} on one setup ({after.setup}) and size ({second})"
            hint = "such a cut jumps: change the size, the angle by 30 degrees, or the setup"
            yield checked.finding("jump", after.name, panel_key(after.panels[0]), what, hint)


def _broken_lines(checked: Checked) -> Iterator[Finding]:
    """Neighbouring shots of one setup between which the figures' looks do not meet."""
    for before, after in pairwise(checked.timeline.shots):
        first, second = before.panels[-1].looks, after.panels[0].looks
        if not before.setup or before.setup != after.setup or not first or not second:
            continue
        # Two who talk to each other look opposite ways; one figure goes on looking as it did.
        one, other = (_speakers(shot) for shot in (before, after))
        they_talk = bool(one and other and not one & other)
        if they_talk == (first != second):
            continue
        what = f"looks {second}, and shot {before.name} before it looks {first}"
        if they_talk:
            what += f", though {' and '.join(sorted(one | other))} talk to each other"
            hint = "two who talk look opposite ways: mirror one"
        else:
            hint = (
                f"on one setup ({after.setup}) the camera seems to cross the line: mirror one,"
                " or put a neutral shot between them"
            )
        yield checked.finding("line", after.name, panel_key(after.panels[0], "looks"), what, hint)


def _speakers(shot: Shot) -> set[str]:
    return {line.who for panel in shot.panels for line in panel.lines}


def _short_panels(checked: Checked) -> Iterator[Finding]:
    """A panel of very few frames."""
    for panel in checked.timeline.panels:
        if panel.frames < FEWEST_FRAMES:
            what = f"panel {panel.number} lasts {counted(panel.frames, 'frame')}"
            hint = f"under {FEWEST_FRAMES} frames a picture is hardly seen; fast cuts can flash"
            yield checked.finding("short", panel.shot, panel_key(panel), what, hint)


def _missing_glyphs(checked: Checked) -> Iterator[Finding]:
    """Characters that the lettering's font cannot draw."""
    lettering = checked.timeline.lettering
    for panel in checked.timeline.panels:
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
            yield checked.finding("glyph", panel.shot, panel_key(panel), what, hint)


def _long_holds(checked: Checked) -> Iterator[Finding]:
    """A picture that stands long without a move: of those that begin in a panel the longest."""
    for shot in checked.timeline.shots:
        longest: dict[int, Hold] = {}
        for hold in holds(shot, checked.timeline.size):
            known = longest.get(hold.first.index)
            if known is None or hold.frames > known.frames:
                longest[hold.first.index] = hold
        for hold in longest.values():
            seconds = seconds_from_frames(hold.frames, checked.timeline.rate)
            if seconds > LONGEST_HOLD_SECONDS:
                what = _of_hold(hold, decimal(seconds, 1))
                hint = "a move, another panel or a cut would carry it"
                yield checked.finding("hold", shot.name, panel_key(hold.first), what, hint)


def _of_hold(hold: Hold, seconds: str) -> str:
    panel = hold.first
    if hold.last is not panel:
        joined = "and" if hold.last.number == panel.number + 1 else "to"
        which = f"panels {panel.number} {joined} {hold.last.number}"
        return f"{which} hold one picture for {seconds} s without a move"
    words = f"panel {panel.number} holds for {seconds} s"
    if panel.move is None:
        return f"{words} without a move"
    if hold.frames == panel.frames:
        return f"{words}: its move ends where it begins"
    return f"{words} {'before' if hold.start == panel.start else 'after'} its move"


FINDERS: tuple[Finder, ...] = (
    *HEARD_FINDERS,
    *MOVE_FINDERS,
    broken_poses,
    _short_reading,
    _long_holds,
    _small_photos,
    _uneven_photos,
    _odd_aspects,
    _jumps,
    _broken_lines,
    _short_panels,
    _missing_glyphs,
)
