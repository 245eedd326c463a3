"""Random boards as text, with what each length says, worked out by nothing of the package."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from hypothesis import strategies as st

from tests.boards import HEAD

FPS = {
    **{name: Fraction(int(name)) for name in ("12", "15", "24", "25", "30")},
    "23.976": Fraction(24_000, 1001),
    "29.97": Fraction(30_000, 1001),
    "59.94": Fraction(60_000, 1001),
}
"""Frames a second, exact (SMPTE ST 12-1, from memory: the NTSC rates are n / 1.001)."""
NOMINAL = {"23.976": 24, "29.97": 30, "59.94": 60}
DEFAULT = Fraction(2)


@dataclass(frozen=True)
class Length:
    """A length as written, and what it says: exact seconds, or (seconds of timecode, frames)."""

    written: str
    seconds: Fraction | None
    counted: tuple[int, int] = (0, 0)

    def frames(self, rate: str) -> Fraction:
        if self.seconds is not None:
            return self.seconds * FPS[rate]
        return Fraction(self.counted[0] * NOMINAL.get(rate, int(FPS[rate])) + self.counted[1])


@dataclass(frozen=True)
class Plan:
    """A board to be: shots of panels, each a length and perhaps its own `shoot_on`."""

    shoot_on: int
    handles: int
    shots: list[list[tuple[Length, int | None]]]

    def text(self, rate: str, dissolves: dict[int, int]) -> str:
        lines = [
            f"{HEAD}rate: {rate}\nshoot_on: {self.shoot_on}\nhandles: {self.handles}f\npanels:"
        ]
        for at, shot in enumerate(self.shots):
            for number, (length, shoot_on) in enumerate(shot):
                keys = [f"shot: s{at}"] if number == 0 else []
                keys += [
                    "photo: a.jpg",
                    *([f"duration: {length.written}"] if length.written else []),
                ]
                keys += [f"shoot_on: {shoot_on}"] if shoot_on else []
                if number == 0 and dissolves.get(at):
                    keys.append(f"transition: {{dissolve: {dissolves[at]}f}}")
                lines.append(f"  - {{{', '.join(keys)}}}")
        return "\n".join(lines)

    @property
    def panels(self) -> list[tuple[int, Length, int]]:
        """Each panel's shot, length, and the `shoot_on` that holds for it."""
        found = []
        for at, shot in enumerate(self.shots):
            on = self.shoot_on
            for length, own in shot:
                on = own or on
                found.append((at, length, on))
        return found


def seconds(text: str) -> Length:
    return Length(f"{text}s", Fraction(text))


def lengths() -> st.SearchStrategy[Length]:
    """Every way to write a length, and none."""
    thousandths = st.integers(1, 9_000).map(lambda ms: seconds(f"{ms // 1000}.{ms % 1000:03}"))
    minutes = st.integers(1, 3).map(lambda m: Length(f"{m}m1s", Fraction(60 * m + 1)))
    frames = st.integers(1, 200).map(lambda n: Length(f"{n}f", None, (0, n)))
    both = st.builds(
        lambda s, f: Length(f"{s}s{f}f", None, (s, f)), st.integers(1, 5), st.integers(0, 40)
    )
    feet = st.builds(
        lambda feet, f: Length(f"{feet}+{f:02}", None, (0, 16 * feet + f)),
        st.integers(1, 9),
        st.integers(0, 15),
    )
    label = st.builds(
        lambda s, f: Length(f"00:00:{s:02}:{f:02}", None, (s, f)),
        st.integers(1, 9),
        st.integers(0, 11),
    )
    unwritten = st.just(Length("", DEFAULT))
    return thousandths | thousandths | minutes | frames | both | feet | label | unwritten


def plans() -> st.SearchStrategy[Plan]:
    panel = st.tuples(lengths(), st.sampled_from([None, None, None, 1, 2, 3, 4, 8]))
    shots = st.lists(st.lists(panel, min_size=1, max_size=4), min_size=1, max_size=5)
    return st.builds(Plan, st.integers(1, 4), st.integers(0, 12), shots)
