"""Random boards of holds: every frame of a hold is the same picture, every cut is in its place."""

from __future__ import annotations

import hashlib
from pathlib import Path
from tempfile import TemporaryDirectory

from film_stand_ins import Noise, board, held, silence, strict_hashes
from hypothesis import given, settings
from hypothesis import strategies as st

from animatic.film import readback, write_film
from animatic.timeline.model import Timeline

lengths = st.lists(
    st.one_of(st.integers(1, 3), st.integers(1, 40), st.integers(230, 250), st.integers(1, 700)),
    min_size=1,
    max_size=6,
)
sizes = st.tuples(st.integers(16, 90), st.integers(16, 60)).map(
    lambda half: (2 * half[0], 2 * half[1])
)
rates = st.sampled_from(["24", "25", "30", "23.976", "29.97"])


@st.composite
def boards(draw: st.DrawFn) -> Timeline:
    return board(draw(lengths), rate=draw(rates), size=draw(sizes))


@given(boards(), st.integers(1, 3))
@settings(max_examples=12, deadline=None)
def test_holds_are_still_and_cuts_are_exact(timeline: Timeline, workers: int) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder, "film.mp4")
        write_film(
            timeline,
            path,
            pictures=Noise(timeline),
            sound=silence,
            workers=workers,
            use_cache=False,
        )
        held(strict_hashes(path), timeline)
        held([hashlib.md5(planes).hexdigest() for _, planes in readback.pictures(path)], timeline)
        readback.check_index(path, timeline.frames, timeline.samples)
