"""What compare found, as a table, Markdown or JSON: one set of rows for all three.

What it costs on set is reckoned by the shoot and handed in: `shooting` is the seconds of work that
setting the poses takes more (or less, below 0), and `plan` says what becomes of the days.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from animatic.frames import decimal, seconds_from_frames
from animatic.sheets import table
from animatic.sheets.markdown import escaped
from animatic.sheets.table import Cell, Head, filled
from animatic.timeline.compare import Change, Comparison
from animatic.words import counted, duration

__all__ = ["as_json", "as_markdown", "as_text"]

_HEADS = (
    Head("shot", "Shot"),
    Head("what", "What"),
    Head("before", "Frames before", right=True),
    Head("after", "Frames after", right=True),
    Head("change", "Change", right=True),
    Head("poses", "Poses", right=True),
    Head("seconds", "Seconds", right=True),
)
_WIDTH = 98
_WHAT = 38
"""With this width for what has changed the whole table is about as wide as the lines under it."""


@dataclass(frozen=True, slots=True)
class _Row:
    shot: str
    what: tuple[str, ...]
    before: int
    after: int
    poses: int
    gained: Fraction
    """Seconds more (or fewer, below 0), exact."""

    @property
    def seconds(self) -> Decimal:
        """The seconds as they are shown; as much more and as much less look alike."""
        size = Decimal(decimal(abs(self.gained), 3))
        return -size if self.gained < 0 else size

    def cells(self) -> Iterator[dict[str, Cell]]:
        """Yield the row, and under it what is too long for its column."""
        numbers: dict[str, Cell] = {
            "before": self.before,
            "after": self.after,
            "change": f"{self.after - self.before:+}",
            "poses": f"{self.poses:+}",
            "seconds": f"{self.seconds:+}",
        }
        whole = {"shot": self.shot, **numbers}
        more: dict[str, Cell] = dict.fromkeys(whole)
        first, *rest = filled(self.what, _WHAT) or [""]
        yield {"what": first, **whole}
        for line in rest:
            yield {"what": line, **more}


def _row(change: Change, comparison: Comparison) -> _Row:
    before = change.old.frames if change.old is not None else 0
    after = change.new.frames if change.new is not None else 0
    gained = _gained(comparison, before, after)
    return _Row(change.name, _with_keys(change), before, after, change.poses, gained)


def _with_keys(change: Change) -> tuple[str, ...]:
    """Return the kinds of a change, and the keys that are different behind the last."""
    if not change.what:
        return change.kinds
    *kinds, last = change.kinds
    *keys, end = change.what
    first, *more = *keys, f"{end})"
    return (*kinds, f"{last} ({first}", *more)


def _gained(comparison: Comparison, before: int, after: int) -> Fraction:
    new, old = comparison.new.rate, comparison.old.rate
    return seconds_from_frames(after, new) - seconds_from_frames(before, old)


def _film(comparison: Comparison) -> _Row:
    before, after = comparison.old.frames, comparison.new.frames
    gained = _gained(comparison, before, after)
    return _Row("film", (), before, after, comparison.poses, gained)


def _rows(comparison: Comparison) -> list[dict[str, Cell]]:
    rows = [_row(change, comparison) for change in comparison.differing]
    return [cells for row in (*rows, _film(comparison)) for cells in row.cells()]


def _of_the_film(comparison: Comparison, words: str) -> list[str]:
    """Return the lines that say what is different and that no single shot says."""
    if not comparison.what:
        return []
    first, *more = comparison.what
    return filled([f"{words}: {first}", *more], _WIDTH)


def _cost(comparison: Comparison, shooting: Fraction) -> str:
    """Return what the change costs or saves on set."""

    def verb(number: Fraction | int) -> str:
        return "costs" if number > 0 else "saves"

    poses = comparison.poses
    found = "leaves as many poses to set"
    if poses:
        found = f"{verb(poses)} {counted(abs(poses), 'pose')}"
    if not shooting:
        return f"{found}, takes as long to shoot"
    taken = f"{duration(abs(shooting))} of shooting"
    is_alike = poses and verb(poses) == verb(shooting)
    return f"{found}, {taken}" if is_alike else f"{found}, {verb(shooting)} {taken}"


def as_text(comparison: Comparison, shooting: Fraction, plan: Sequence[str] = ()) -> str:
    """Return the changes as a table of plain text; `plan` says what they do to the shoot."""
    if comparison.is_none:
        return "\n".join(["nothing is different", *plan]) + "\n"
    shown = table.as_text(_HEADS, _rows(comparison))
    film = "\n  ".join(_of_the_film(comparison, "of the whole film"))
    lines = [shown, *([film] if film else []), _cost(comparison, shooting), *plan]
    return "\n".join(lines) + "\n"


def as_markdown(comparison: Comparison, shooting: Fraction, plan: Sequence[str] = ()) -> str:
    """Return the changes as a Markdown table; `plan` says what they do to the shoot."""
    listed = [*(f"- {escaped(line[:1].upper() + line[1:])}." for line in plan), ""] if plan else []
    lines = [f"# {escaped(comparison.new.title)}: what changed", ""]
    if comparison.is_none:
        return "\n".join([*lines, "Nothing is different.", "", *listed])
    lines.append(table.as_markdown(_HEADS, _rows(comparison)))
    # Every line begins with a key of the board, which is a word and no markup.
    if film := [escaped(line) for line in _of_the_film(comparison, "Of the whole film")]:
        lines += ["", *film[:-1], f"{film[-1]}."]
    return "\n".join([*lines, "", f"The change {_cost(comparison, shooting)}.", "", *listed])


def as_json(
    comparison: Comparison, shooting: Fraction, plan: Mapping[str, object] | None = None
) -> str:
    """Return the changes as JSON: {"shots": [...], "film": [...], "total": {}, "plan": {}}.

    "film" has what else is different that no single shot says, as "mix duck"; the total's
    "hours" are those of shooting.
    """
    shots = [
        {
            "shot": change.name,
            "kinds": list(change.kinds),
            "what": list(change.what),
            "frames_before": row.before,
            "frames_after": row.after,
            "poses": row.poses,
            "seconds": row.seconds,
        }
        for change in comparison.differing
        for row in [_row(change, comparison)]
    ]
    total = _film(comparison)
    totals = {
        "frames_before": total.before,
        "frames_after": total.after,
        "poses": total.poses,
        "seconds": total.seconds,
        "hours": Decimal(decimal(shooting / 3600, 2)),
    }
    content: dict[str, object] = {
        "shots": shots,
        "film": list(comparison.what),
        "total": totals,
    }
    if plan is not None:
        content["plan"] = plan
    return table.as_json(content)
