"""Rates, the changes of unit, and the one rounding, over values drawn at random."""

from __future__ import annotations

import math
import re
from dataclasses import FrozenInstanceError
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from itertools import accumulate

import pytest
from hypothesis import given
from hypothesis import strategies as st

from animatic import frames
from animatic.frames import (
    RATES,
    Rate,
    apportion,
    beat_frame,
    ceil_div,
    ceil_frames_from_seconds,
    ceil_to,
    frames_from_samples,
    frames_from_seconds,
    lengths_from_seconds,
    milliseconds_from_frames,
    on_grid,
    poses_from_frames,
    round_half_up,
    samples_from_frames,
    samples_from_seconds,
    seconds_from_frames,
    share_in_steps,
)
from tests.strategies import rates, seconds, untimed

HALF = Fraction(1, 2)
ALLOWED = "12, 15, 24, 25, 30, 23.976, 29.97, 59.94"
FRAMES = st.integers(0, 24 * 3600 * 60)

# Name, exact frames a second, frames in a second of timecode, has a drop-frame count.
EVERY_RATE = [
    ("12", Fraction(12), 12, False),
    ("15", Fraction(15), 15, False),
    ("24", Fraction(24), 24, False),
    ("25", Fraction(25), 25, False),
    ("30", Fraction(30), 30, False),
    ("23.976", Fraction(24000, 1001), 24, False),
    ("29.97", Fraction(30000, 1001), 30, True),
    ("59.94", Fraction(60000, 1001), 60, True),
]


@pytest.mark.parametrize(("name", "fps", "nominal", "drop"), EVERY_RATE)
def test_rate(name: str, fps: Fraction, nominal: int, drop: bool) -> None:
    rate = Rate.named(name)
    assert (rate.fps, rate.nominal, rate.has_drop_frame) == (fps, nominal, drop)
    assert (rate.name, str(rate)) == (name, name)
    assert rate == Rate(fps)
    assert hash(rate) == hash(Rate(fps))


def test_there_are_no_other_rates() -> None:
    assert sorted(RATES) == sorted(name for name, *_ in EVERY_RATE)
    assert len({Rate.named(name) for name in RATES}) == len(EVERY_RATE)


@pytest.mark.parametrize("name", ["23", "23.98", "24.0", "48", "50", "60", "0", "-24", "", "24 "])
def test_unknown_name(name: str) -> None:
    message = f"{name} frames a second; allowed: {ALLOWED}"
    with pytest.raises(ValueError, match=rf"\A{re.escape(message)}\Z"):
        Rate.named(name)


@pytest.mark.parametrize("fps", ["0", "-24", "23.976", "29.97", "1199/50", "50", "60"])
def test_unknown_rate(fps: str) -> None:
    """Among them the near misses: 29.97 as a decimal is not 30000/1001."""
    message = f"{Fraction(fps)} frames a second; allowed: {ALLOWED}"
    with pytest.raises(ValueError, match=rf"\A{re.escape(message)}\Z"):
        Rate(Fraction(fps))


def test_a_rate_cannot_be_changed() -> None:
    with pytest.raises(FrozenInstanceError) as caught:
        Rate.named("24").fps = Fraction(25)  # type: ignore[misc]
    assert str(caught.value) == "cannot assign to field 'fps'"


def test_what_is_exported_is_there_and_sorted_out() -> None:
    assert [name for name in frames.__all__ if not hasattr(frames, name)] == []
    assert len(set(frames.__all__)) == len(frames.__all__)


@pytest.mark.parametrize(
    ("value", "nearest"),
    [
        ("0", 0), ("0.4999", 0), ("0.5", 1), ("1.5", 2), ("2.5", 3), ("32.5", 33),
        ("-0.5", 0), ("-0.5001", -1), ("-1.5", -1), ("-2.5", -2), ("7", 7), ("-7", -7),
    ],
)  # fmt: skip
def test_round_half_up(value: str, nearest: int) -> None:
    assert round_half_up(Fraction(value)) == nearest


@given(st.fractions())
@untimed
def test_round_half_up_is_the_floor_of_a_half_more(value: Fraction) -> None:
    found = round_half_up(value)
    assert type(found) is int
    assert found == math.floor(value + HALF)
    assert -HALF < found - value <= HALF


@given(st.decimals(0, 10**9, places=3))
@untimed
def test_round_half_up_against_decimal(value: Decimal) -> None:
    """Python's decimal module, ROUND_HALF_UP (which goes away from zero: so not below it)."""
    assert round_half_up(Fraction(value)) == int(value.quantize(Decimal(1), ROUND_HALF_UP))


@given(st.integers(-(10**12), 10**12), st.integers(1, 10**6))
@untimed
def test_ceil_div(value: int, by: int) -> None:
    assert ceil_div(value, by) == math.ceil(Fraction(value, by))


@given(st.integers(0, 10**6), st.integers(1, 12))
@untimed
def test_ceil_to_is_the_next_multiple(value: int, step: int) -> None:
    assert ceil_to(value, step) == next(n for n in range(value, value + step) if n % step == 0)


@given(seconds(), rates())
@untimed
def test_ceil_frames_are_just_enough(length: Fraction, rate: Rate) -> None:
    found = ceil_frames_from_seconds(length, rate)
    assert type(found) is int
    assert (found - 1) / rate.fps < length <= found / rate.fps


@given(st.integers(1, 10**6), st.integers(1, 12))
@untimed
def test_poses_cover_the_frames_and_no_more(count: int, shoot_on: int) -> None:
    poses = poses_from_frames(count, shoot_on)
    assert poses == len(range(0, count, shoot_on))
    assert (poses - 1) * shoot_on < count <= poses * shoot_on


@given(seconds(), rates())
@untimed
def test_frames_from_seconds_is_the_nearest_frame(position: Fraction, rate: Rate) -> None:
    frame = frames_from_seconds(position, rate)
    off = frame - position * rate.fps
    assert type(frame) is int
    assert -HALF < off <= HALF


@given(FRAMES, rates())
@untimed
def test_seconds_and_back(frame: int, rate: Rate) -> None:
    position = seconds_from_frames(frame, rate)
    assert type(position) is Fraction
    assert position * rate.fps == frame
    assert frames_from_seconds(position, rate) == frame


@given(FRAMES, rates())
@untimed
def test_samples_and_back(frame: int, rate: Rate) -> None:
    sample = samples_from_frames(frame, rate)
    assert abs(sample - frame * 48_000 / rate.fps) <= HALF
    assert frames_from_samples(sample, rate) == frame


@given(FRAMES, rates(), st.sampled_from([8_000, 44_100, 96_000]))
@untimed
def test_other_sample_rates_and_back(frame: int, rate: Rate, sample_rate: int) -> None:
    sample = samples_from_frames(frame, rate, sample_rate)
    assert abs(sample - frame * sample_rate / rate.fps) <= HALF
    assert frames_from_samples(sample, rate, sample_rate) == frame


@given(seconds(), st.sampled_from([8_000, 44_100, 48_000]))
@untimed
def test_samples_from_seconds_is_the_nearest_sample(position: Fraction, sample_rate: int) -> None:
    off = samples_from_seconds(position, sample_rate) - position * sample_rate
    assert -HALF < off <= HALF


def test_halves_of_a_sample_and_of_a_frame_go_up() -> None:
    assert samples_from_seconds(Fraction(1, 96_000)) == 1
    assert samples_from_seconds(Fraction(5, 96_000)) == 3
    assert frames_from_samples(1000, Rate.named("24")) == 1
    assert frames_from_samples(999, Rate.named("24")) == 0
    assert frames_from_seconds(Fraction(1, 48), Rate.named("24")) == 1
    assert milliseconds_from_frames(3, Rate.named("24")) == 125


@given(FRAMES, rates())
@untimed
def test_milliseconds_and_back(frame: int, rate: Rate) -> None:
    milliseconds = milliseconds_from_frames(frame, rate)
    assert abs(milliseconds - 1000 * frame / rate.fps) <= HALF
    assert frames_from_seconds(Fraction(milliseconds, 1000), rate) == frame


@given(st.lists(seconds(60), max_size=40), rates())
@untimed
def test_lengths_never_let_an_error_add_up(lengths: list[Fraction], rate: Rate) -> None:
    found = lengths_from_seconds(lengths, rate)
    assert len(found) == len(lengths)
    assert sum(found) == frames_from_seconds(sum(lengths, Fraction(0)), rate)
    for exact, end in zip(accumulate(lengths), accumulate(found), strict=True):
        assert abs(end - exact * rate.fps) <= HALF


@given(st.fractions(-50, 500, max_denominator=1001), st.integers(-20, 200), st.integers(1, 12))
@untimed
def test_on_grid_is_the_nearest_pose(position: Fraction, origin: int, step: int) -> None:
    """Against looking at every pose of the grid; of two as near, the later one."""
    grid = [origin + step * k for k in range(1, 540)]
    expected = min(grid, key=lambda pose: (abs(pose - position), -pose))
    assert on_grid(position, origin, step) == expected


@pytest.mark.parametrize(
    ("position", "origin", "step", "frame"),
    [
        ("33", 0, 2, 34), ("32.99", 0, 2, 32), ("3", 2, 2, 4), ("2", 2, 2, 4), ("1", 2, 2, 4),
        ("4.5", 0, 3, 6), ("4.49", 0, 3, 3), ("31", 1, 3, 31), ("10", 0, 1, 10),
    ],
)  # fmt: skip
def test_on_grid(position: str, origin: int, step: int, frame: int) -> None:
    assert on_grid(Fraction(position), origin, step) == frame


@given(
    st.integers(0, 4000),
    st.fractions(30, 300, max_denominator=100),
    rates(),
    st.fractions(0, 20, max_denominator=1000),
)
@untimed
def test_beats_keep_to_the_music(beat: int, bpm: Fraction, rate: Rate, first: Fraction) -> None:
    exact = (first + beat / (bpm / 60)) * rate.fps
    assert -HALF < beat_frame(beat, bpm, rate, first) - exact <= HALF


WEIGHTS = st.lists(
    st.integers(0, 500) | st.fractions(0, 50, max_denominator=60), min_size=1, max_size=25
).filter(any)


@given(WEIGHTS, st.integers(0, 5000))
@untimed
def test_apportion_keeps_to_the_quota(weights: list[int | Fraction], total: int) -> None:
    """All is given away, and each gets its exact share rounded down or up."""
    shares, whole = apportion(weights, total), sum(weights, Fraction(0))
    assert sum(shares) == total
    for weight, share in zip(weights, shares, strict=True):
        assert type(share) is int
        exact = weight * total / whole
        assert math.floor(exact) <= share <= math.ceil(exact)


@given(WEIGHTS, st.integers(0, 5000))
@untimed
def test_apportion_by_giving_one_at_a_time(weights: list[int | Fraction], total: int) -> None:
    """Another way to the same: whoever is furthest short of a whole share gets the next."""
    whole = sum(weights, Fraction(0))
    short = [weight * total / whole for weight in weights]
    expected = [math.floor(exact) for exact in short]
    short = [exact - got for exact, got in zip(short, expected, strict=True)]
    while sum(expected) < total:
        neediest = short.index(max(short))
        expected[neediest] += 1
        short[neediest] -= 1
    assert apportion(weights, total) == expected


@given(WEIGHTS, st.integers(0, 5000), st.fractions(Fraction(1, 90), 90, max_denominator=90))
@untimed
def test_apportion_looks_at_proportions_only(
    weights: list[int | Fraction], total: int, scale: Fraction
) -> None:
    scaled = [weight * scale for weight in weights]
    assert apportion(scaled, total) == apportion(weights, total)


def test_apportion_ties_go_to_the_lowest_index() -> None:
    assert apportion([1, 1, 1], 4) == [2, 1, 1]
    assert apportion([1, 1, 1], 5) == [2, 2, 1]
    assert apportion([3, 1, 1, 3], 4) == [2, 1, 0, 1]
    assert apportion([0, 1, 1], 1) == [0, 1, 0]


@pytest.mark.parametrize("weights", [[], [0], [0, 0], [-1, 2], [1, Fraction(-1, 9)], [-1, 1]])
def test_apportion_refuses(weights: list[int]) -> None:
    message = "weights must be zero or more, with at least one above zero"
    with pytest.raises(ValueError, match=rf"\A{re.escape(message)}\Z"):
        apportion(weights, 5)


@st.composite
def sharings(draw: st.DrawFn) -> tuple[list[int], list[int], list[int], int]:
    """Weights, least shares in whole steps, steps, and a total that is enough for the least."""
    size = draw(st.integers(1, 12))
    weights = draw(st.lists(st.integers(1, 200), min_size=size, max_size=size))
    steps = draw(st.lists(st.integers(1, 3), min_size=size, max_size=size))
    poses = draw(st.lists(st.integers(0, 40), min_size=size, max_size=size))
    least = [step * count for step, count in zip(steps, poses, strict=True)]
    return weights, least, steps, sum(least) + draw(st.integers(0, 1500))


def filled(weights: list[int], least: list[int], total: int) -> list[Fraction]:
    """The exact shares: one scale for all that stand above their least, found from its ends.

    As the scale rises the shares leave their least in the order of least / weight; between
    two of these points the sum is a straight line.
    """
    order = sorted(range(len(weights)), key=lambda i: Fraction(least[i], weights[i]))
    for count in range(len(order), 0, -1):
        resting = sum(least[i] for i in order[count:])
        scale = Fraction(total - resting, sum(weights[i] for i in order[:count]))
        if scale >= Fraction(least[order[count - 1]], weights[order[count - 1]]):
            return [max(Fraction(low), w * scale) for w, low in zip(weights, least, strict=True)]
    raise AssertionError("the total is below the least shares")


@given(sharings())
@untimed
def test_share_in_steps(sharing: tuple[list[int], list[int], list[int], int]) -> None:
    """The sum is exact, nothing goes below its least, and poses stay whole but for the last."""
    weights, least, steps, total = sharing
    shares, exact = share_in_steps(*sharing), filled(weights, least, total)
    assert sum(shares) == total
    assert all(type(share) is int for share in shares)
    assert all(share >= low for share, low in zip(shares, least, strict=True))
    for share, step, ideal in list(zip(shares, steps, exact, strict=True))[:-1]:
        assert share % step == 0
        assert abs(share - ideal) < step
    assert abs(shares[-1] - exact[-1]) < steps[-1] + max(steps)


@given(WEIGHTS.map(lambda weights: [int(weight) for weight in weights]).filter(any), FRAMES)
@untimed
def test_share_in_steps_of_one_is_apportion(weights: list[int], total: int) -> None:
    nothing, ones = [0] * len(weights), [1] * len(weights)
    assert share_in_steps(weights, nothing, ones, total) == apportion(weights, total)


@pytest.mark.parametrize(
    ("weights", "least", "steps", "total", "shares"),
    [
        ([1], [0], [2], 7, [7]),
        ([48, 48], [0, 0], [2, 2], 97, [48, 49]),
        ([48, 48], [0, 0], [2, 2], 98, [50, 48]),
        ([10, 10, 10], [20, 0, 0], [1, 1, 1], 30, [20, 5, 5]),
        ([10, 30], [0, 60], [3, 3], 60, [0, 60]),
    ],
)
def test_shares_worked_out_by_hand(
    weights: list[int], least: list[int], steps: list[int], total: int, shares: list[int]
) -> None:
    assert share_in_steps(weights, least, steps, total) == shares


def test_share_in_steps_refuses_less_than_the_least() -> None:
    message = "29 frames to share; the least shares need 30"
    with pytest.raises(ValueError, match=rf"\A{re.escape(message)}\Z"):
        share_in_steps([1, 1], [10, 20], [1, 1], 29)
