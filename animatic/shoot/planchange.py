"""What a change in the board does to the plan: days, hours, order, and which shot moves."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from animatic.frames import round_half_up
from animatic.shoot.estimate import Plan, shooting_seconds
from animatic.timeline.differences import Laid
from animatic.words import counted, duration

__all__ = ["PlanChange", "plan_change", "shooting_change"]


@dataclass(frozen=True, slots=True)
class PlanChange:
    """Two plans of one shoot. Work is in seconds, without breaks; days count from 1."""

    days: tuple[int, int]
    work: tuple[Fraction, Fraction]
    changing: tuple[int, int]
    """Seconds that going from one setup to the next takes in all."""
    setups: tuple[tuple[str, ...], tuple[str, ...]]
    moved: tuple[tuple[str, int, int], ...]
    """Shots that are in both and begin on another day: name, day before, day after."""

    @property
    def is_none(self) -> bool:
        """Whether nothing of the plan is different."""
        pairs = (self.days, self.work, self.changing, self.setups)
        return not self.moved and all(before == after for before, after in pairs)

    def lines(self) -> list[str]:
        r"""Return the change in a few sentences.

        >>> same = (("quay",), ("quay",))
        >>> hours = (Fraction(36000), Fraction(32400))
        >>> print(*PlanChange((2, 2), hours, (0, 0), same, (("40", 2, 1),)).lines(), sep="\n")
        plan: 2 days as before, 1 h 00 min less work with rigging and dressing
        shot 40 is now on day 1, was on day 2
        """
        if self.is_none:
            return ["plan: as before"]
        before, after = self.days
        days = counted(after, "day") + (" as before" if after == before else f", not {before}")
        work = f"{_more_or_less(self.work[1] - self.work[0])} work"
        found = [f"plan: {days}, {work} with rigging and dressing"]
        if self.changing[0] != self.changing[1]:
            taken = _more_or_less(Fraction(self.changing[1] - self.changing[0]))
            found.append(f"going from setup to setup takes {taken}")
        if self.setups[0] != self.setups[1]:
            found.append("setups are now in this order: " + ", ".join(map(_named, self.setups[1])))
        found += [
            f"shot {name} is now on day {to}, was on day {was}" for name, was, to in self.moved
        ]
        return found

    def as_dict(self) -> dict[str, object]:
        """Return the change as plain values, for JSON; minutes are rounded."""
        return {
            "days_before": self.days[0],
            "days_after": self.days[1],
            "minutes_before": round_half_up(self.work[0] / 60),
            "minutes_after": round_half_up(self.work[1] / 60),
            "setups_before": list(self.setups[0]),
            "setups_after": list(self.setups[1]),
            "moved": [
                {"shot": name, "day_before": was, "day_after": to} for name, was, to in self.moved
            ],
        }


def _named(setup: str) -> str:
    return setup or "without a setup"


def _more_or_less(seconds: Fraction) -> str:
    if not seconds:
        return "as much"
    return f"{duration(abs(seconds))} {'more' if seconds > 0 else 'less'}"


def plan_change(old: Plan, new: Plan) -> PlanChange:
    """Return what is different between two plans; shots are the same where their names are."""
    before, after = _first_days(old), _first_days(new)
    return PlanChange(
        days=(len(old.days), len(new.days)),
        work=(old.work, new.work),
        changing=(old.ordered.cost, new.ordered.cost),
        setups=(_setups(old), _setups(new)),
        moved=tuple(
            (name, before[name], day)
            for name, day in after.items()
            if name in before and before[name] != day
        ),
    )


def shooting_change(old: Laid, new: Laid) -> Fraction:
    """Return the seconds that setting the poses takes more (or less, below 0), each board at its
    own pace; rigging and dressing are not in it."""
    return shooting_seconds(*new) - shooting_seconds(*old)


def _setups(plan: Plan) -> tuple[str, ...]:
    return tuple(setup.name for setup in plan.setups)


def _first_days(plan: Plan) -> dict[str, int]:
    """Return the day on which each shot's first pose is set, in the order of the shoot."""
    days: dict[str, int] = {}
    for day in plan.days:
        for stint in day.stints:
            if stint.shot is not None and stint.kind == "shoot":
                days.setdefault(stint.shot.name, day.number)
    return days
