"""Takes held against the plan: what is there of every shot, what is wrong, and what is whole.

A take is a folder of numbered pictures or a video, named as the board's `media` says. Nothing
in the takes' folder is ever written. What cannot be used is named and left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Literal

from animatic.errors import MediaError, UsageError
from animatic.sheets.rows import one_line
from animatic.shoot.framefiles import SUFFIXES, Numbered, numbered
from animatic.shoot.judging import Seen, judged_pictures, judged_video
from animatic.shoot.takefacts import Looks
from animatic.shoot.takenames import TakeName, match_names
from animatic.timeline.model import Shot, Timeline
from animatic.timeline.take import Source, Take
from animatic.words import counted

__all__ = ["VIDEOS", "Shoot", "ShotTakes", "Status", "TakeFinding", "look_over"]

VIDEOS = frozenset((".mov", ".mp4", ".m4v", ".mkv", ".avi", ".webm", ".mxf"))
Status = Literal["to do", "shooting", "shot"]


@dataclass(frozen=True, slots=True)
class TakeFinding:
    """Something about a take that is worth a look; `shot` is empty where it is of none."""

    kind: str
    shot: str
    path: Path
    words: str
    leaves_out: bool = False
    """Whether the take is left out of the film for it."""

    def __str__(self) -> str:
        of = f"shot {self.shot}: " if self.shot else ""
        # A file's name may hold what no text does: line ends, or bytes that are no UTF-8.
        return one_line(f"{self.path}: {of}{self._left}{self.words}")

    @property
    def in_row(self) -> str:
        """The finding as it stands in its shot's row: the take, and what is wrong with it."""
        return one_line(f"{self.path.name}: {self._left}{self.words}")

    @property
    def _left(self) -> str:
        return "left out; " if self.leaves_out else ""


@dataclass(frozen=True)
class ShotTakes:
    """A shot and its takes, in the order of their numbers."""

    shot: Shot
    takes: tuple[tuple[int, Seen], ...]

    @cached_property
    def best(self) -> tuple[int, Seen] | None:
        """The highest take that is whole; else the highest that has any picture to use."""
        whole = [one for one in self.takes if one[1].is_whole]
        some = [one for one in self.takes if one[1].there]
        usable = whole or some
        return usable[-1] if usable else None

    @property
    def status(self) -> Status:
        """How far the shot is."""
        if self.best is None:
            return "to do"
        return "shot" if self.best[1].is_whole else "shooting"

    @property
    def frames(self) -> int:
        """Frames to shoot that are there."""
        return self.best[1].frames_there if self.best else 0

    @cached_property
    def left(self) -> tuple[int, ...]:
        """The film frames at which the poses begin that are still to be set."""
        if self.status == "shot":
            return ()
        return self.best[1].left if self.best else self.shot.pose_starts

    @property
    def poses_left(self) -> int:
        """Poses that are still to be set."""
        return len(self.left)


@dataclass(frozen=True, slots=True)
class Shoot:
    """The takes of a film: a state of every shot, in the film's order, and findings."""

    folder: Path
    shots: tuple[ShotTakes, ...]
    findings: tuple[TakeFinding, ...]

    def takes(self, *, unfinished: bool = False) -> dict[str, Take]:
        """Return what the film can show, by the names of shots: whole takes.

        With `unfinished` also what there is of shots that are being shot, bad pictures or not.
        """
        found = {}
        for one in self.shots:
            seen = one.best[1] if one.best else None
            if seen is None or not (seen.is_whole or unfinished):
                continue
            if (take := seen.take()) is not None:
                found[one.shot.name] = take
        return found

    def left(self) -> dict[str, tuple[int, ...]]:
        """Return the film frames at which the poses begin that are left, by names of shots."""
        return {one.shot.name: one.left for one in self.shots}

    def sources(self) -> dict[str, Source]:
        """Return what the edit gets, by the names of shots: the takes that count so far."""
        return {one.shot.name: one.best[1].source for one in self.shots if one.best}

    def in_film(self, takes: Mapping[str, Take]) -> Iterator[TakeFinding]:
        """Yield the findings as they are for a film that shows these takes."""
        for one in self.findings:
            shown = takes.get(one.shot)
            if one.leaves_out and shown is not None and shown.name == one.path.name:
                words = f"{one.words}; shown is the picture before"
                yield replace(one, words=words, leaves_out=False)
            else:
                yield one


def look_over(
    timeline: Timeline, folder: Path, tell: Callable[[int, int], None] = lambda done, total: None
) -> Shoot:
    """Return what is in a folder of takes; `tell` is told pictures looked at, and all there are.

    UsageError where the folder cannot be read.
    """
    looks = Looks()
    try:
        found = _Finder(timeline, folder, looks)
        shots = found.shots(tell)
    finally:
        looks.keep()
    return Shoot(folder, shots, tuple(sorted(found.findings, key=_place)))


def _place(finding: TakeFinding) -> tuple[bool, str, str]:
    return not finding.leaves_out, str(finding.path), finding.kind


class _Finder:
    """Finds the takes of one film in one folder."""

    def __init__(self, timeline: Timeline, folder: Path, looks: Looks) -> None:
        self._timeline, self._folder, self._looks = timeline, folder, looks
        self.findings: list[TakeFinding] = []

    def shots(self, tell: Callable[[int, int], None]) -> tuple[ShotTakes, ...]:
        """Return the state of every shot."""
        named = self._named()
        pictures = dict(self._numbered(named))
        paths = [path for one in pictures.values() for path in one.files]
        facts = self._looks.pictures(paths, lambda done: tell(done, len(paths)))
        shots = {shot.name: shot for shot in self._timeline.shots}
        apart = self._looks.apart
        takes: dict[str, list[tuple[int, Seen]]] = {}
        for path, name in named.items():
            shot = shots[name.shot]
            if path in pictures:
                seen = judged_pictures(self._timeline, shot, path, pictures[path], facts, apart)
            elif path.suffix.lower() in VIDEOS and not path.is_dir():
                seen = judged_video(self._timeline, shot, path, self._looks.video(path))
            else:
                continue
            takes.setdefault(shot.name, []).append((name.take, seen))
            for remark in seen.findings:
                self._find(remark.kind, shot.name, path, remark.words, remark.leaves_out)
        return tuple(
            ShotTakes(shot, tuple(sorted(takes.get(shot.name, ()), key=lambda one: one[0])))
            for shot in self._timeline.shots
        )

    def _find(self, kind: str, shot: str, path: Path, words: str, leaves_out: bool = True) -> None:
        self.findings.append(TakeFinding(kind, shot, path, words, leaves_out))

    def _named(self) -> dict[Path, TakeName]:
        """Return the folders and videos that are takes, in the order of their names."""
        try:
            found = sorted(path for path in self._folder.iterdir() if path.name[0] not in "._")
            paths = {path: path.stem for path in found if path.suffix.lower() in VIDEOS}
            paths |= {path: path.name for path in found if path.is_dir()}
        except OSError as fault:
            raise UsageError(f"{self._folder}: cannot be read ({fault.strerror})") from None
        loose = sum(path.suffix.lower() in SUFFIXES and path not in paths for path in found)
        if loose:
            lie = "lie" if loose > 1 else "lies"
            words = (
                f"{counted(loose, 'picture')} {lie} here and in no take; a take is a folder in the"
                " one that is named, as 10_take1"
            )
            self._find("name", "", self._folder, words, leaves_out=False)
        said = match_names(self._timeline, set(paths.values()))
        named: dict[Path, TakeName] = {}
        for path, text in sorted(paths.items()):
            name = said[text]
            if isinstance(name, str):
                self._find("name", "", path, name)
            else:
                named[path] = name
        return self._once(named)

    def _once(self, named: dict[Path, TakeName]) -> dict[Path, TakeName]:
        """Return takes without those that are there twice."""
        by_name: dict[TakeName, list[Path]] = {}
        for path, name in named.items():
            by_name.setdefault(name, []).append(path)
        for name, paths in by_name.items():
            for path in paths if len(paths) > 1 else ():
                others = " and ".join(other.name for other in paths if other != path)
                words = f"{others} is take {name.take} too; keep one, or number it anew"
                self._find("name", name.shot, path, words)
                del named[path]
        return named

    def _numbered(self, named: dict[Path, TakeName]) -> Iterator[tuple[Path, Numbered]]:
        for path, name in named.items():
            if path.is_dir():
                try:
                    yield path, numbered(path)
                except MediaError as fault:
                    self._find("numbering", name.shot, path, str(fault))
