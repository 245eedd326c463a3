"""A film that is killed at any moment leaves the old one whole."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from textwrap import dedent

import pytest
from film_stand_ins import Flat, board, silence

from animatic.film import readback, write_film

KILLS = 50

# One process loads everything and has no threads yet, so that each run begins at once.
STRESS = dedent("""
    import os, random, signal, sys, time
    sys.path.insert(0, sys.argv[1])
    from pathlib import Path
    from film_stand_ins import Noise, board, silence
    from animatic.film import readback, write_film

    target, kills = Path(sys.argv[2]), int(sys.argv[3])
    timeline = board([2] * 120)

    def once():
        write_film(timeline, target, pictures=Noise(timeline), sound=silence, use_cache=False)

    def forked():
        pid = os.fork()
        if pid == 0:
            once()
            os._exit(0)
        return pid

    began = time.perf_counter()
    os.waitpid(forked(), 0)
    whole = time.perf_counter() - began
    print(f"a run takes {whole:.2f} s", flush=True)
    old = b"the old film, " * 1000
    rng = random.Random(7)
    outcomes = {"old": 0, "new": 0}
    for number in range(kills):
        target.write_bytes(old)
        pid = forked()
        time.sleep(rng.uniform(0, 1.1 * whole))
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
        if target.read_bytes() == old:
            outcomes["old"] += 1
        else:
            readback.check_index(target, timeline.frames, timeline.samples)
            outcomes["new"] += 1
        odd = [n for n in os.listdir(target.parent)
               if n != target.name and not (n.startswith(".film.mp4.") and n.endswith(".part"))]
        assert not odd, odd
    print(outcomes["old"], outcomes["new"], flush=True)
""")


@pytest.mark.skipif(sys.platform == "win32", reason="processes are forked")
def test_fifty_kills_at_random_moments(tmp_path: Path) -> None:
    target = tmp_path / "film.mp4"
    command = [sys.executable, "-c", STRESS, str(Path(__file__).parent), str(target), str(KILLS)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    old, new = (int(count) for count in done.stdout.splitlines()[-1].split())
    assert old + new == KILLS
    assert old > 0
    timeline = board([3])
    write_film(timeline, target, pictures=Flat(timeline), sound=silence)
    assert [path.name for path in tmp_path.iterdir()] == ["film.mp4"]
    readback.check_index(target, timeline.frames, timeline.samples)
