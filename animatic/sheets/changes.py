"""What compare found, as a table, Markdown or JSON: one set of rows for all three."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from animatic.frames import milliseconds_from_frames, round_half_up
from animatic.sheets.markdown import escaped
from animatic.timeline.compare import Change, Comparison

__all__ = ["as_json", "as_markdown", "as_text"]

_HEADS = ("shot", "what", "frames before", "frames after", "change", "poses", "seconds")


@dataclass(frozen=True, slots=True)
class _Row:
    shot: str
    what: str
    before: int
    after: int
    poses: int
    milliseconds: int

    @property
    def cells(self) -> tuple[str, ...]:
        seconds = f"{self.milliseconds / 1000:+.3f}"
        change = f"{self.after - self.before:+}"
        numbers = (str(self.before), str(self.after), change, f"{self.poses:+}", seconds)
        return (self.shot, self.what, *numbers)


def _row(change: Change, comparison: Comparison) -> _Row:
    what = _with_keys(", ".join(change.kinds), change.what)
    before = change.old.frames if change.old is not None else 0
    after = change.new.frames if change.new is not None else 0
    ms = _milliseconds(comparison, before, after)
    return _Row(change.name, what, before, after, change.poses, ms)


def _with_keys(words: str, keys: Sequence[str]) -> str:
    """Return the kinds of a change, and the keys that are different."""
    return f"{words} ({', '.join(keys)})" if keys else words


def _milliseconds(comparison: Comparison, before: int, after: int) -> int:
    new, old = comparison.new.rate, comparison.old.rate
    return milliseconds_from_frames(after, new) - milliseconds_from_frames(before, old)


def _rows(comparison: Comparison) -> list[_Row]:
    rows = [_row(change, comparison) for change in comparison.differing]
    before, after = comparison.old.frames, comparison.new.frames
    ms = _milliseconds(comparison, before, after)
    what = _with_keys("changed", comparison.what) if comparison.what else ""
    return [*rows, _Row("film", what, before, after, comparison.poses, ms)]


def _cost(comparison: Comparison, poses_per_hour: Fraction) -> str:
    """Return what the change costs or saves on set."""
    poses = comparison.poses
    if not poses:
        return "no pose more or less to set"
    minutes = abs(poses) * 60 / poses_per_hour
    hours, rest = divmod(round_half_up(minutes), 60)
    word = "costs" if poses > 0 else "saves"
    return (
        f"{word} {abs(poses)} poses, {hours} h {rest:02} min at {float(poses_per_hour):g} an hour"
    )


def as_text(comparison: Comparison, poses_per_hour: Fraction, plan: Sequence[str] = ()) -> str:
    """Return the changes as a table of plain text; `plan` says what they do to the shoot."""
    if comparison.is_none:
        return "\n".join(["nothing is different", *plan]) + "\n"
    rows = [_HEADS, *(row.cells for row in _rows(comparison))]
    widths = [max(len(row[i]) for row in rows) for i in range(len(_HEADS))]
    lines = []
    for row in rows:
        left = [text.ljust(width) for text, width in zip(row[:2], widths[:2], strict=True)]
        right = [text.rjust(width) for text, width in zip(row[2:], widths[2:], strict=True)]
        lines.append("  ".join([*left, *right]).rstrip())
    return "\n".join([*lines, _cost(comparison, poses_per_hour), *plan]) + "\n"


def as_markdown(comparison: Comparison, poses_per_hour: Fraction, plan: Sequence[str] = ()) -> str:
    """Return the changes as a Markdown table; `plan` says what they do to the shoot."""
    listed = [*(f"- {escaped(line[:1].upper() + line[1:])}." for line in plan), ""] if plan else []
    lines = [f"# {escaped(comparison.new.title)}: what changed", ""]
    if comparison.is_none:
        return "\n".join([*lines, "Nothing is different.", "", *listed])
    lines.append("| " + " | ".join(head.capitalize() for head in _HEADS) + " |")
    lines.append("| --- | --- | ---: | ---: | ---: | ---: | ---: |")
    for row in _rows(comparison):
        lines.append("| " + " | ".join(escaped(text) for text in row.cells) + " |")
    cost = _cost(comparison, poses_per_hour)
    return "\n".join([*lines, "", f"The change {cost}.", "", *listed])


def as_json(
    comparison: Comparison, poses_per_hour: Fraction, plan: Mapping[str, object] | None = None
) -> str:
    """Return the changes as JSON: {"shots": [...], "film": [...], "total": {}, "plan": {}}.

    "film" has what else is different that no single shot says, as "mix duck".
    """
    shots = [
        {
            "shot": change.name,
            "kinds": list(change.kinds),
            "what": list(change.what),
            "frames_before": row.before,
            "frames_after": row.after,
            "poses": row.poses,
            "seconds": row.milliseconds / 1000,
        }
        for change in comparison.differing
        for row in [_row(change, comparison)]
    ]
    total = _rows(comparison)[-1]
    totals = {
        "frames_before": total.before,
        "frames_after": total.after,
        "poses": total.poses,
        "seconds": total.milliseconds / 1000,
        "hours": round(float(total.poses / poses_per_hour), 2),
    }
    content: dict[str, object] = {
        "shots": shots,
        "film": list(comparison.what),
        "total": totals,
    }
    if plan is not None:
        content["plan"] = plan
    return json.dumps(content, ensure_ascii=False, indent=2) + "\n"
