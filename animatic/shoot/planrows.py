"""The plan as rows, defined once: a row a stint of work, for the table, CSV and JSON."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from fractions import Fraction

from animatic.frames import round_half_up, whole_lengths
from animatic.sheets.table import Cell, Head, as_csv, as_text
from animatic.sheets.table import as_json as json_of
from animatic.shoot.estimate import Plan, Stint
from animatic.shoot.hours import Dated, minutes, said
from animatic.shoot.toshoot import Done
from animatic.words import counted, duration

__all__ = [
    "CAUTION",
    "HEADS",
    "csv",
    "done",
    "json",
    "poses",
    "rows",
    "summary",
    "text",
    "work",
]

CAUTION = (
    "Lamps get hot enough to burn and to set things on fire: let them cool, keep cloth, paper and"
    " gel away, switch them off in breaks. Mains wiring is for qualified people, under the local"
    " code. Take the breaks; nobody shoots tired for long."
)
"""What stands on every call sheet and under the table."""

HEADS: tuple[Head, ...] = (
    Head("day", "Day", right=True),
    Head("date", "Date"),
    Head("from", "From", right=True),
    Head("to", "To", right=True),
    Head("work", "Work"),
    Head("setup", "Setup"),
    Head("shot", "Shot"),
    Head("size", "Size"),
    Head("first_pose", "First pose", right=True),
    Head("last_pose", "Last pose", right=True),
    Head("poses", "Poses", right=True),
    Head("frames_to_shoot", "Frames to shoot", right=True),
    Head("minutes", "Minutes", right=True),
)
"""The columns. Poses count from 1 in their shot; `frames_to_shoot` is the whole shot's, or what is
left of it, and stands where its last pose is set, so that the column adds up; `minutes` are of
work, without breaks, from one rounded moment of the whole work to the next, so that they add up
too."""


def _row(dated: Dated, stint: Stint, whole_minutes: int) -> dict[str, Cell]:
    day, shot = dated.day, stint.shot
    left = stint.left if stint.left is not None and stint.end_pose == stint.left.end else None
    return {
        "day": day.number,
        "date": dated.date.isoformat() if dated.date is not None else None,
        "from": said(minutes(day, stint.start)),
        "to": said(minutes(day, stint.start + stint.length, is_end=True)),
        "work": stint.kind,
        "setup": stint.setup,
        "shot": shot.name if shot is not None else None,
        "size": shot.size if shot is not None else None,
        "first_pose": stint.first_pose + 1 if stint.poses else None,
        "last_pose": stint.end_pose if stint.poses else None,
        "poses": stint.poses if stint.kind == "shoot" else None,
        "frames_to_shoot": left.frames if left is not None else None,
        "minutes": whole_minutes,
    }


def rows(days: Sequence[Dated]) -> list[dict[str, Cell]]:
    """Return the plan's rows in the order of the work."""
    stints = [(dated, stint) for dated in days for stint in dated.day.stints]
    lengths = whole_lengths([stint.length / 60 for _, stint in stints])
    return [_row(*pair, length) for pair, length in zip(stints, lengths, strict=True)]


def work(stint: Stint) -> str:
    """Return what is done in a stint, for people."""
    if stint.kind == "rig":
        return f"rig {stint.setup}" if stint.setup else "rig"
    name = stint.shot.name if stint.shot is not None else ""
    return f"dress shot {name}" if stint.kind == "dress" else f"shot {name}"


def poses(stint: Stint) -> str:
    """Return a stint's poses, and which of the shot's they are where it has only a part."""
    if stint.kind != "shoot":
        return ""
    if stint.is_part:
        return f"{stint.poses} (pose {stint.first_pose + 1} to {stint.end_pose})"
    return str(stint.poses)


def done(found: Done) -> str:
    """Return in words what a plan leaves out since it is done.

    >>> done(Done(2, 1, 74))
    'left out as done: 2 shots that are shot, 74 poses in all; 1 shot is being shot'
    """
    words = f"left out as done: {counted(found.shots, 'shot')} that {_are(found.shots)} shot"
    words += f", {counted(found.poses, 'pose')} in all"
    if found.begun:
        words += f"; {counted(found.begun, 'shot')} {_are(found.begun)} being shot"
    return words


def _are(number: int) -> str:
    return "is" if number == 1 else "are"


def summary(plan: Plan) -> list[str]:
    """Return the plan in a few sentences."""
    changes, bound = plan.ordered.cost, plan.ordered.bound
    lines = [
        f"{counted(len(plan.days), 'day')}, {counted(plan.poses, 'pose')},"
        f" {duration(plan.work)} of work without breaks"
    ]
    if plan.done is not None:
        lines.append(done(plan.done))
    named = ", ".join(setup.name or "without a setup" for setup in plan.setups)
    lines.append(f"setups in this order: {named}")
    if len(plan.setups) > 1:
        best = (
            "no order takes less"
            if plan.ordered.is_best
            else (f"no order takes less than {duration(bound)}")
        )
        lines.append(f"going from one to the next takes {duration(changes)} in all; {best}")
    return lines


def text(plan: Plan, days: Sequence[Dated]) -> str:
    """Return the plan as a table of plain text."""
    heads = [head for head in HEADS if head.key != "date" or any(each.date for each in days)]
    table = as_text(heads, rows(days))
    return "\n".join([table, "", *summary(plan), "", CAUTION, ""])


def csv(days: Sequence[Dated]) -> str:
    """Return the plan as CSV (RFC 4180)."""
    return as_csv(HEADS, rows(days))


def json(plan: Plan, days: Sequence[Dated]) -> str:
    """Return the plan as JSON: `stints` in order, `setups` in order, and the `total`.

    A plan of what is left has what is `done`, too.
    """
    found = {
        "stints": rows(days),
        "setups": [setup.name for setup in plan.setups],
        "total": {
            "days": len(plan.days),
            "poses": plan.poses,
            "minutes": round_half_up(plan.work / 60),
            "change_minutes": round_half_up(Fraction(plan.ordered.cost, 60)),
            "is_best_order": plan.ordered.is_best,
        },
    }
    if plan.done is not None:
        found["done"] = asdict(plan.done)
    return json_of(found)
