"""Music that names shots which a new order of the panels parks, brings back or turns round."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from animatic.board.edits.arrange import Arranged
from animatic.board.edits.edit import Change, Removal, edited
from animatic.board.keys.schema import MusicEntry
from animatic.board.read import Board
from animatic.board.text.yamltree import parse
from animatic.errors import listed

__all__ = ["MusicChange", "with_music"]

_End = Literal["from", "until"]
_Ends = dict[_End, str]


@dataclass(frozen=True, slots=True)
class MusicChange:
    """What a new order makes of a piece of music: what is written into it, and what is said."""

    edit: Change | Removal
    words: str

    def __str__(self) -> str:
        return self.words


def with_music(board: Board, made: Arranged) -> tuple[bytes, list[MusicChange]]:
    """Return the board in its new order with music that goes with it, and what that changes.

    Where the order turns a piece's ends round, they change places; in the place of a shot that
    it parks stands the nearest one under the piece that it keeps. A piece of which it parks all
    shots is parked with them, and one of which it brings back a shot comes back.
    """
    file = str(board.file)
    root = parse(made.data, file).root
    content = board.content
    names = _Names(
        before=_distinct(panel.shot for panel in content.panels),
        after=_distinct(entry.get("shot") for entry in root["panels"]),
        parked=[panel.shot for panel in content.parked],
        parts=made.parts,
    )
    changes: list[MusicChange] = []
    for number, music in enumerate(content.music):
        changes += names.changes(number, music)
    edits = [change.edit for change in changes]
    return (edited(made.data, edits, file) if edits else made.data), changes


def _distinct(names: Iterable[str | None]) -> list[str]:
    """Return the shots in order, of what the panels say."""
    return list(dict.fromkeys(name.strip() for name in names if name is not None))


@dataclass(frozen=True, slots=True)
class _Names:
    """The shots of the film before and after an order, and those of the panels parked before."""

    before: list[str]
    after: list[str]
    parked: list[str | None]
    parts: Mapping[str, str]
    """Of a name that an order before had given to a part of a shot: the shot."""

    def changes(self, number: int, music: MusicEntry) -> Iterator[MusicChange]:
        """Yield what becomes of one piece."""
        ends = _ends(music)
        in_film = [shot in self.before for shot in ends.values()]
        if ends and all(in_film):
            yield from self._under_the_film(number, music, ends)
        elif ends and not any(in_film):
            yield from self._out_of_the_film(number, music, ends)
        # A piece parked by hand that names a shot of the film and a parked one stays as it is.

    def _under_the_film(self, number: int, music: MusicEntry, ends: _Ends) -> Iterator[MusicChange]:
        """A piece whose shots are in the film: it plays, or is parked by hand and stays so."""
        first = self.before.index(ends.get("from", self.before[0]))
        last = self.before.index(ends.get("until", self.before[-1]))
        under = [self._name(shot) for shot in self.before[first : last + 1]]
        now: _Ends = {end: self._name(shot) for end, shot in ends.items()}
        if set(under) & set(self.after):
            now = self._adjusted(now, under)
        elif not music.parked:
            words = f"music {music.file} is parked with its {_range(under)}; it comes back with "
            words += f"shot {min(now.values())}" if len(now) == 1 else _pronoun(under)
            yield MusicChange(Change(("music", number, "parked"), "true"), words)
        yield from _told(number, music, ends, now)

    def _out_of_the_film(
        self, number: int, music: MusicEntry, ends: _Ends
    ) -> Iterator[MusicChange]:
        """A piece of which no shot was in the film: it comes back with the first that does."""
        under = self._parked_under(ends)
        back = [shot for shot in self.after if shot in under]
        if back:
            shots = "shots" if len(back) > 1 else "shot"
            words = f"music {music.file} is back with {shots} {listed(back)}"
            yield MusicChange(Removal(("music", number, "parked")), words)
            yield from _told(number, music, ends, self._adjusted(ends, under))

    def _name(self, shot: str) -> str:
        """Return a shot of before by its name now: a part that met its shot again has that one's.

        A part that is parked goes by the name of its shot as well.
        """
        return shot if shot in self.after else self.parts.get(shot, shot)

    def _adjusted(self, ends: _Ends, under: list[str]) -> _Ends:
        """Return the shots that a piece which lies under these plays from and until now."""
        now = {end: self._nearest(end, shot, under) for end, shot in ends.items()}
        if len(now) == 2 and self.after.index(now["until"]) < self.after.index(now["from"]):
            return {"from": now["until"], "until": now["from"]}
        return now

    def _nearest(self, end: _End, shot: str, under: list[str]) -> str:
        """Return a shot, or else the nearest one under the same piece, that is in the film now."""
        inward = under[under.index(shot) :]
        if end == "until":
            inward = under[: len(under) - under[::-1].index(shot)][::-1]
        return next(name for name in inward if name in self.after)

    def _parked_under(self, ends: _Ends) -> list[str]:
        """Return the shots that a parked piece lay under: an order parks them in a row.

        Where one end is open nothing tells how far they went, so it is the one that it names.
        """
        named = list(ends.values())
        last = max(i for i, shot in enumerate(self.parked) if shot == named[-1])
        first = max((i for i in range(last + 1) if self.parked[i] == named[0]), default=None)
        if first is None:
            return named
        # As they lie, with what comes twice: where parts of one shot met, it is at either end.
        return [shot for shot in self.parked[first : last + 1] if shot is not None]


def _ends(music: MusicEntry) -> _Ends:
    """Return the shots that a piece names, by the keys that name them."""
    ends: _Ends = {}
    if music.from_ is not None:
        ends["from"] = music.from_
    if music.until is not None:
        ends["until"] = music.until
    return ends


def _range(shots: Iterable[str]) -> str:
    first, *rest = _distinct(shots)
    if not rest:
        return f"shot {first}"
    return f"shots {first} {'to' if len(rest) > 1 else 'and'} {rest[-1]}"


def _pronoun(shots: Iterable[str]) -> str:
    return "them" if len(set(shots)) > 1 else "it"


def _told(number: int, music: MusicEntry, was: _Ends, now: _Ends) -> Iterator[MusicChange]:
    """Yield a change for each end of a piece that is another shot now."""
    for end, shot in was.items():
        if now[end] != shot:
            words = f"music {music.file}: {end}: shot {shot} becomes {end}: shot {now[end]}"
            yield MusicChange(Change(("music", number, end), f"shot {now[end]}"), words)
