"""What must hold of the names in a board: of shots, and of the setups that they are shot on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from animatic.board.edits.marks import marks_of
from animatic.board.keys.rule import Absent
from animatic.board.keys.schema import BoardContent
from animatic.board.text.yamltree import KeyPath, Tree, key_words
from animatic.errors import BoardError, Problem, listed, nearest

__all__ = ["name_problems", "repeated_shots", "setup_problems"]

_ALIKE = {"shot": 0.6, "setup": 0.5}
"""How alike a name must be to be offered; names of setups are words, and far from each other."""


def repeated_shots(content: BoardContent, data: bytes, file: str) -> dict[int, int]:
    """Return the panels that name their shot once more, and the panel where it begins.

    An arrangement lets names stand that came to meet in the new order, and says so in a comment
    above the shot's first panel; these are left out.
    """
    found: dict[int, int] = {}
    begun, current = 0, None
    for i, panel in enumerate(content.panels):
        if panel.shot is not None and panel.shot == current:
            if not isinstance(panel.shot, Absent):
                found[i] = begun
        elif panel.shot is not None:
            begun, current = i, panel.shot
    if found:
        try:
            marked = marks_of(data, file)
        except (BoardError, KeyError):  # Between brackets, or under a misspelt key: not arranged.
            return found
        for i, first in list(found.items()):
            if ("panels", i) in marked or ("panels", first) in marked:
                del found[i]
    return found


def name_problems(
    content: BoardContent, tree: Tree, repeated: Mapping[int, int]
) -> Iterator[Problem]:
    """Shots that come back, panels before the first shot, music from shots that are not."""
    first_at: dict[str, int] = {}
    current: str | None = None
    for i, panel in enumerate(content.panels):
        if i in repeated:
            yield _repeated(content, tree, i, repeated[i])
        if isinstance(panel.shot, Absent):
            current = panel.shot
            continue
        if panel.shot is None or panel.shot == current:
            if current is None and _names_no_shot(tree, i):
                hint = "give the first panel a shot, as shot: 10"
                found = "the first panel names no shot"
                yield Problem(tree.place(("panels", i)), key_words(("panels", i)), found, hint=hint)
                current = ""
            continue
        current = panel.shot
        if current in first_at:
            key = ("panels", i, "shot")
            line = tree.place(("panels", first_at[current], "shot")).line
            found = f"shot {current} was there before, on line {line}, and other shots since"
            hint = f"one shot lies from cut to cut: name this one {_free_name(current, content)}"
            yield Problem(tree.place(key), key_words(key), found, hint=hint)
        first_at.setdefault(current, i)
    yield from _music_problems(content, tree, first_at)


def _music_problems(
    content: BoardContent, tree: Tree, first_at: Mapping[str, int]
) -> Iterator[Problem]:
    """Music from or until shots that are not; a piece that is parked may name parked ones."""
    all_panels = (*content.panels, *content.parked)
    faulty = {str(panel.shot) for panel in all_panels if isinstance(panel.shot, Absent)}
    parked = [
        panel.shot
        for panel in content.parked
        if panel.shot is not None and not isinstance(panel.shot, Absent)
    ]
    for i, music in enumerate(content.music):
        known = dict.fromkeys([*first_at, *parked] if music.parked else first_at)
        for word, name in (("from", music.from_), ("until", music.until)):
            key = ("music", i, word)
            if name is None or name in known or name in faulty:
                continue
            if name in parked:
                found = f"shot {name} is parked, and not in the film"
                hint = "bring it back with arrange, or write parked: true into this piece"
                yield Problem(tree.place(key), key_words(key), found, listed(list(first_at)), hint)
            else:
                yield _unknown(tree, key, f"shot {name}", list(known), "shot")
        if music.parked:
            continue
        starts, ends = first_at.get(music.from_ or ""), first_at.get(music.until or "")
        if starts is not None and ends is not None and ends < starts:
            key = ("music", i, "until")
            found = f"shot {music.until} comes before shot {music.from_}"
            yield Problem(tree.place(key), key_words(key), found, hint="swap the two")


def _repeated(content: BoardContent, tree: Tree, panel: int, first: int) -> Problem:
    key, name = ("panels", panel, "shot"), content.panels[panel].shot or ""
    lines = f"{tree.place(('panels', first, 'shot')).line} and {tree.place(key).line}"
    setups = content.panels[first].setup, content.panels[panel].setup
    other = f"name it {_free_name(name, content)}"
    found = f"shot {name} is named twice, at lines {lines}"
    if None not in setups and setups[0] != setups[1]:
        found += f", on the setups {setups[0]} and {setups[1]}"
        hint = f"another setup is another shot: {other}"
        return Problem(tree.place(key), key_words(key), found, hint=hint)
    hint = f"leave shot: out of the second panel to go on with shot {name}, or {other}"
    return Problem(tree.place(key), key_words(key), found, hint=hint)


def _names_no_shot(tree: Tree, panel: int) -> bool:
    """Whether a panel was written without a shot: not one whose shot is at fault itself."""
    written = tree.root["panels"][panel]
    return isinstance(written, dict) and "shot" not in written


def _free_name(name: str, content: BoardContent) -> str:
    taken = {panel.shot for panel in content.panels}
    letters = (f"{name}{letter}" for letter in "BCDEFGHJKLMNPQRSTUVWXYZ")
    return next((free for free in letters if free not in taken), f"{name}-again")


def _unknown(tree: Tree, key: KeyPath, found: str, known: list[str], kind: str) -> Problem:
    name = found.removeprefix(f"{kind} ")
    close = nearest(name, known, _ALIKE[kind])
    if not close:
        close = next((one for one in known if name.casefold() in one.casefold()), "")
    hint = f"did you mean {close}?" if close else ""
    return Problem(tree.place(key), key_words(key), f"there is no {found}", listed(known), hint)


def setup_problems(
    content: BoardContent, tree: Tree, repeated: Mapping[int, int]
) -> Iterator[Problem]:
    """Setups that are not, and shots on more than one."""
    for name, entry in content.setups.items():
        for number, other in enumerate(entry.after):
            if other not in content.setups and not isinstance(other, Absent):
                place = ("setups", name, "after", number)
                yield _unknown(tree, place, f"setup {other}", list(content.setups), "setup")
    setup: str | None = None
    begun = 0
    current = None
    for i, panel in enumerate(content.panels):
        key = ("panels", i, "setup")
        is_new = panel.shot is not None and (
            panel.shot != current or isinstance(panel.shot, Absent)
        )
        if is_new:
            current, setup, begun = panel.shot, panel.setup, i
        if panel.setup is None:
            continue
        if panel.setup not in content.setups and tree.values.get(("setups", panel.setup)) is None:
            known = list(content.setups)
            if known:
                yield _unknown(tree, key, f"setup {panel.setup}", known, "setup")
            else:
                found = f"there is no setup {panel.setup}"
                hint = f"write setups: with {panel.setup}: {{place: ...}} under it"
                yield Problem(tree.place(key), key_words(key), found, hint=hint)
        if not is_new and setup is not None and panel.setup != setup and i not in repeated:
            line = tree.place(("panels", begun)).line
            found = f"setup {panel.setup} within a shot that began on line {line} on {setup}"
            hint = "another camera set-up is another shot: give this panel a shot of its own"
            yield Problem(tree.place(key), key_words(key), found, hint=hint)
        setup = setup or panel.setup
