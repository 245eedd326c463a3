"""The state of the shoot as rows, defined once: a row a shot, for the table, CSV, MD and JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from animatic.board import Board
from animatic.frames import round_half_up
from animatic.sheets.table import Cell, Head, as_csv, as_markdown, as_text
from animatic.sheets.table import as_json as json_of
from animatic.shoot.progress import (
    Pace,
    days_at_board_pace,
    days_left,
    hundredths,
    measured_pace,
)
from animatic.shoot.takes import Shoot, ShotTakes
from animatic.words import counted

__all__ = ["HEADS", "State", "csv", "json", "markdown", "state_of", "text"]

HEADS: tuple[Head, ...] = (
    Head("shot", "Shot"),
    Head("status", "Status"),
    Head("take", "Take", right=True),
    Head("takes", "Takes"),
    Head("frames", "Frames", right=True),
    Head("wanted", "Wanted", right=True),
    Head("missing", "Missing"),
    Head("poses", "Poses", right=True),
    Head("poses_left", "Poses left", right=True),
    Head("days_left", "Days left", right=True),
    Head("note", "Note"),
)
"""The columns. `take` is the one that counts, `takes` are all; `frames` are those of the take
that counts, `wanted` the shot's frames to shoot; `missing` are numbers of pictures."""
_FINDINGS = Head("findings", "Findings")
"""What a CSV file has beside them: what is found in a shot's takes."""


@dataclass(frozen=True)
class State:
    """The shoot with its pace; days are those of the board, of shooting alone."""

    board: Board
    shoot: Shoot
    pace: Pace | None

    @property
    def poses_left(self) -> int:
        """Poses to set in all."""
        return sum(one.poses_left for one in self.shoot.shots)

    @property
    def days_left(self) -> Fraction | None:
        """Days that they take at the measured pace."""
        return days_left(self.board, self.poses_left, self.pace)

    @property
    def days_left_by_board(self) -> Fraction:
        """Days that they take at the board's pace."""
        return days_at_board_pace(self.board, self.shoot)

    def count(self, status: str) -> int:
        """Return how many shots are so far."""
        return sum(one.status == status for one in self.shoot.shots)


def state_of(board: Board, shoot: Shoot) -> State:
    """Return the state of a shoot."""
    return State(board, shoot, measured_pace(shoot))


def _row(state: State, one: ShotTakes) -> dict[str, Cell]:
    seen = one.best[1] if one.best else None
    days = days_left(state.board, one.poses_left, state.pace)
    return {
        "shot": one.shot.name,
        "status": one.status,
        "take": one.best[0] if one.best else None,
        "takes": ", ".join(str(number) for number, _ in one.takes),
        "frames": one.frames,
        "wanted": one.shot.frames_to_shoot,
        "missing": seen.missing if seen else "",
        "poses": one.shot.poses,
        "poses_left": one.poses_left,
        "days_left": hundredths(days) if days is not None else None,
        "note": seen.note if seen else "",
    }


def rows(state: State) -> list[dict[str, Cell]]:
    """Return the rows in the order of the film."""
    return [_row(state, one) for one in state.shoot.shots]


def summary(state: State) -> list[str]:
    """Return the whole in a few sentences."""
    shots = [f"{state.count(status)} {status}" for status in ("shot", "shooting", "to do")]
    lines = [f"{', '.join(shots)}; {counted(state.poses_left, 'pose')} left"]
    pace, days = state.pace, state.days_left
    rate = state.board.content.pace.poses_per_hour
    if pace is None or days is None:
        lines.append("no measured pace: too few frames with times of their own")
    else:
        pauses = f", {counted(pace.pauses, 'pause')} left out" if pace.pauses else ""
        lines.append(
            f"{hundredths(days)} days at the measured pace of"
            f" {counted(round_half_up(pace.poses_per_hour), 'pose')} an hour"
            f" (median of {counted(pace.measured, 'time')} from pose to pose{pauses})"
        )
    by_board = hundredths(state.days_left_by_board)
    is_one = all(panel.poses_per_hour is None for panel in state.board.content.panels)
    own = "" if is_one else ", or a panel's own"
    lines.append(f"{by_board} days at the board's pace of {float(rate):g} poses an hour{own}")
    lines.append("days of shooting alone: what rigging takes is in animatic plan")
    return lines


def text(state: State) -> str:
    """Return the state as a table of plain text, with findings and the whole under it."""
    shown = rows(state)
    empty = {key for key in ("missing", "note") if not any(row[key] for row in shown)}
    heads = [head for head in HEADS if head.key not in empty]
    parts = [as_text(heads, shown), ""]
    if found := [str(finding) for finding in state.shoot.findings]:
        parts += [*found, ""]
    return "\n".join([*parts, *summary(state), ""])


def markdown(state: State) -> str:
    """Return the state as a Markdown table, with the whole under it."""
    found = [f"- {finding}" for finding in state.shoot.findings]
    parts = [as_markdown(HEADS, rows(state)), ""]
    if found:
        parts += [*found, ""]
    return "\n".join([*parts, *summary(state), ""])


def csv(state: State) -> str:
    """Return the rows as CSV (RFC 4180), each with what is found in its shot's takes."""
    found: dict[str, list[str]] = {}
    for finding in state.shoot.findings:
        found.setdefault(finding.shot, []).append(finding.in_row)
    listed = [
        {**row, "findings": "; ".join(found.get(str(row["shot"]), ()))} for row in rows(state)
    ]
    return as_csv((*HEADS, _FINDINGS), listed)


def json(state: State) -> str:
    """Return the state as JSON: `shots`, `takes`, `findings` and the `total`."""
    pace, days = state.pace, state.days_left
    takes = [
        {
            "shot": one.shot.name,
            "take": number,
            "path": str(seen.path),
            "pictures": len(seen.there),
            "whole": seen.is_whole,
            "missing": seen.missing,
            "note": seen.note,
        }
        for one in state.shoot.shots
        for number, seen in one.takes
    ]
    total: Mapping[str, Any] = {
        **{key.replace(" ", "_"): state.count(key) for key in ("shot", "shooting", "to do")},
        "frames": sum(one.frames for one in state.shoot.shots),
        "wanted": sum(one.shot.frames_to_shoot for one in state.shoot.shots),
        "poses": sum(one.shot.poses for one in state.shoot.shots),
        "poses_left": state.poses_left,
        "poses_per_hour": hundredths(pace.poses_per_hour) if pace else None,
        "times_measured": pace.measured if pace else 0,
        "pauses": pace.pauses if pace else 0,
        "days_left": hundredths(days) if days is not None else None,
        "days_left_at_board_pace": hundredths(state.days_left_by_board),
    }
    found = [
        {
            "kind": finding.kind,
            "shot": finding.shot,
            "path": str(finding.path),
            "found": finding.words,
            "left_out": finding.leaves_out,
        }
        for finding in state.shoot.findings
    ]
    return json_of({"shots": rows(state), "takes": takes, "findings": found, "total": total})
