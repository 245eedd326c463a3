"""Remake every sound of the film "Low Water" in the folder `sound` beside this one.

espeak-ng speaks the lines; music and effects are synthesised from fixed seeds, so that the same
machine writes the same bytes. Needs numpy, scipy, soundfile and av. `make_sounds.py` makes them
all, `make_sounds.py bell tide` only these.
A wave is an array of floats, full scale 1.0, shaped (samples,) or (samples, 2); times are seconds.
"""

import io
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Sequence
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import numpy.typing as npt
import soundfile
from scipy.signal import fftconvolve, lfilter, resample_poly

Wave = npt.NDArray[np.float64]
Voice = Callable[[str], Wave]  # plays a note by its name
Partials = Sequence[tuple[float, float, float]] | Wave  # Hz, level, seconds to fall 60 dB

RATE = 48_000
SOUND = Path(__file__).resolve().parent.parent / "sound"
BAR = 2.5  # three beats at 72 BPM: 60 frames at 24 fps
NO_VOICE = """make_sounds: the spoken lines need the command espeak-ng, which was not found.
Install it (Debian, Ubuntu: apt-get install espeak-ng; macOS: brew install espeak-ng) and run this
again. Music and effects do without it: name the ones you want as arguments."""
VOICES = {"odd": ("en+klatt2", 20, 116), "pim": ("en+f2", 82, 158)}  # pitch 0..99, words a minute
LINES = {
    "odd_01": "The tide is late.",
    "pim_02": "Perhaps it forgot the way.",
    "odd_03": "Water never forgets. Something is keeping it.",
    "pim_04": "Then call it.",
    "odd_05": "With this? It has not rung since your mother was small.",
    "pim_06": "Listen. Out there.",
    "odd_07": "Late is not never.",
}


def count(seconds: float) -> int:
    return round(seconds * RATE)


def clock(seconds: float) -> Wave:
    return np.arange(count(seconds), dtype=np.float64) / RATE


def curve(seconds: float, *points: tuple[float, float]) -> Wave:
    """A level or pitch that moves in straight lines through (second, value)."""
    return np.asarray(np.interp(clock(seconds), *np.array(points).T))


def band(wave: Wave, low: float, high: float, steep: int = 4) -> Wave:
    """Keep low..high Hz. The filter is circular, its end runs into its start: loops stay whole."""
    hz = np.fft.rfftfreq(len(wave), 1 / RATE) + 1e-9
    gain = 1 / np.sqrt((1 + (low / hz) ** steep) * (1 + (hz / high) ** steep))
    return np.asarray(np.fft.irfft(np.fft.rfft(wave, axis=0).T * gain, len(wave)).T)


def hiss(rng: np.random.Generator, seconds: float, low: float, high: float, steep: int = 4) -> Wave:
    """Noise between low and high Hz, 1.0 RMS."""
    wave = band(rng.standard_normal(count(seconds)), low, high, steep)
    return np.asarray(wave / wave.std())


def ring(partials: Partials, seconds: float, attack: float = 0.002) -> Wave:
    """Partials that all start together and die away each at its own pace."""
    t = clock(seconds)
    total = sum(a * np.sin(2 * np.pi * f * t) * 10 ** (-3 * t / d) for f, a, d in partials)
    return np.asarray(total * np.minimum(t / attack, 1) * np.minimum((seconds - t) / 0.03, 1))


def add(track: Wave, at: float, wave: Wave, level: float = 1.0, pan: float = 0.0) -> None:
    """Add at a time; pan -1 (left) to 1 (right), equal power. What runs over the end is dropped."""
    if track.ndim > wave.ndim:
        angle = (pan + 1) * np.pi / 4
        wave = wave[:, None] * np.array([np.cos(angle), np.sin(angle)])
    room = track[count(at) :][: len(wave)]
    room += level * wave[: len(room)]


def in_room(wave: Wave, seconds: float, wet: float, top: float, seed: int) -> Wave:
    """Add a diffuse echo that falls by 60 dB in `seconds`; nothing above `top` Hz comes back."""
    t = clock(seconds)
    tail = np.random.default_rng(seed).standard_normal((len(t), *wave.shape[1:]))
    tail = band((tail.T * np.minimum(t / 0.02, 1) * 10 ** (-3 * t / seconds)).T, 120, top)
    tail /= np.sqrt((tail**2).sum(axis=0))
    return np.asarray(wave + wet * fftconvolve(wave, tail, axes=0)[: len(wave)])


def fade(wave: Wave, start: float, end: float) -> Wave:
    """Raised-cosine fades of these lengths at both ends."""
    t = (np.arange(len(wave)) + 1) / RATE
    up, down = np.minimum(t / start, 1), np.minimum(t[::-1] / end, 1)
    return np.asarray((wave.T * (1 - np.cos(np.pi * up)) * (1 - np.cos(np.pi * down))).T / 4)


# note:beats, three beats to the bar; chords a bar each
THEME = "F#4:2 D4:1 E4:2 C#4:1 D4:2 A4:1 F#4:3 B4:2 A4:1 F#4:1.5 E4:.5 D4:1 E4:2 F#4:1 C#4:3"
HOME = "A4:2 F#4:1 G4:2 E4:1 F#4:2 D5:1 A4:3 D5:2 B4:1 A4:1.5 G4:.5 F#4:1 E4:2 F#4:1 D4:3"
HIGH_THEME, HIGH_HOME = (t.replace("5:", "6:").replace("4:", "5:") for t in (THEME, HOME))
THEME_CHORDS, HOME_CHORDS = "Bm A G D G Bm Em F#m", "D A/C# Bm G G D/F# Asus D D"
CHORDS = {
    "Bm": "B2 F#3 D4", "A": "A2 E3 C#4", "A/C#": "C#3 A3 E4", "Asus": "A2 E3 D4", "G": "G2 D3 B3",
    "D": "D3 A3 F#4", "D/F#": "F#2 D3 A3", "Em": "E3 G3 B3", "F#m": "F#2 C#3 A3",
}  # fmt: skip


def hertz(name: str) -> float:
    """Equal temperament on A4 = 440 Hz."""
    step = "C C#D D#E F F#G G#A A#B ".index(f"{name[:-1]:2}") // 2 - 9
    return float(440.0 * 2 ** (int(name[-1]) - 4 + step / 12))


def pluck(note: str) -> Wave:
    """A soft string, plucked at 0.28 of its length."""
    f, n = hertz(note), np.arange(1.0, 12.0)
    levels, decays = np.sin(0.28 * np.pi * n) / n**1.5, 27 / f**0.4 / n**0.7
    return ring(np.transpose([n * f * (1 + 4e-5 * n * n), levels, decays]), 3.0, attack=0.004)


def glass(note: str) -> Wave:
    f = hertz(note)
    parts = [(f, 0.6, 4.5), (f * 1.0012, 0.3, 4.0), (f * 2.76, 0.07, 1.4), (f * 5.4, 0.02, 0.5)]
    return ring(parts, 4.0, attack=0.03)


def reed(note: str, seconds: float, top: int = 7) -> Wave:
    """Two reeds a hair apart, breathing in and out."""
    f, t = hertz(note), clock(seconds)
    air = np.minimum(t / 0.7, 1) * np.minimum((seconds - t) / 0.7, 1)
    parts = [(n * f * near, n) for n in range(1, top + 1) for near in (0.9992, 1.0009)]
    tone = sum(np.sin(2 * np.pi * hz * t + n) / n**1.6 for hz, n in parts)
    return np.asarray(0.3 * tone * air**1.5 * (1 + 0.06 * np.sin(2 * np.pi * 0.8 * t)))


def play_tune(track: Wave, bar: int, tune: str, voice: Voice, level: float, pan: float) -> None:
    at = bar * BAR
    for note, beats in re.findall(r"(\S+):(\S+)", tune):
        add(track, at, voice(note), level, pan)
        at += float(beats) * BAR / 3


def play_chords(track: Wave, bar: int, chords: str, held: float, rocked: float = 0) -> None:
    """Each chord held on the reeds for a bar and rocked low, middle, high on plucked strings."""
    for n, chord in enumerate(chords.split(), bar):
        for k, note in enumerate(CHORDS[chord].split()):
            add(track, max(0, n * BAR - 0.2), reed(note, BAR + 0.8), held, 0.5 * (k - 1))
            if rocked:
                add(track, (n + k / 3) * BAR, pluck(note), rocked, 0.3 * (1 - k))


def add_swell(track: Wave, opening: float) -> None:
    """A low D that gathers, opens at `opening` with the noise of water in it, and ebbs."""
    end, rng = len(track) / RATE, np.random.default_rng(11)
    rise = curve(end, (opening - 9, 0), (opening, 1), (opening + 5, 0.7), (end, 0.4)) ** 2
    wash = curve(end, (opening - 1, 0), (opening + 1, 1), (opening + 9, 0.1), (end, 0))
    for pan, note, level in ((-0.3, "D2", 0.16), (0.0, "A2", 0.1), (0.3, "D3", 0.07)):
        w = 2 * np.pi * hertz(note) * clock(end)
        add(track, 0, (np.sin(w) + 0.5 * np.sin(1.003 * w + 1)) * rise, level, pan)
    for side in (-0.8, 0.8):
        add(track, 0, hiss(rng, end, 250, 1500, 2) * wash, 0.02, side)


def tide() -> Wave:
    """30 bars, 75 s: B minor, plucked; again in glass; a held breath; at 52.5 s D major opens."""
    track = np.zeros((count(30 * BAR), 2))
    play_chords(track, 0, "Bm Bm", 0.06)
    play_chords(track, 2, THEME_CHORDS, 0.055)
    play_tune(track, 2, THEME, pluck, 0.34, -0.15)
    play_chords(track, 10, THEME_CHORDS, 0.06, 0.13)
    play_tune(track, 10, HIGH_THEME, glass, 0.17, 0.25)
    play_tune(track, 10, THEME, pluck, 0.2, -0.15)
    play_chords(track, 18, "Em G Asus", 0.075)
    play_tune(track, 18, "B4:3 D5:3 E5:3", glass, 0.25, 0.1)
    play_chords(track, 21, HOME_CHORDS, 0.09, 0.17)
    play_tune(track, 21, HOME, pluck, 0.36, -0.15)
    play_tune(track, 21, HIGH_HOME, glass, 0.2, 0.25)
    add_swell(track, 21 * BAR)
    return fade(in_room(band(track, 40, 6000), 2.6, 0.4, 3500, 12), 0.3, 5.0)


def shed() -> Wave:
    """18 s in the dark: a low fifth, a semitone rubbing against it, single glass notes."""
    track = np.zeros((count(18), 2))
    add(track, 0, reed("B1", 17.8, top=5), 0.2)
    for at, pan, note in ((0, 0.5, "B2"), (0, -0.5, "F#3"), (6, 0.5, "B2"), (6, -0.5, "G3"),
                          (11.5, 0.5, "B2"), (11.5, -0.5, "F#3")):  # fmt: skip
        add(track, at, reed(note, 6.4, top=4), 0.1, pan)
    for note, beat in re.findall(r"(\S+):(\S+)", "F#5:2 D5:6 G5:9 F#5:11 C#5:16 B4:17"):
        add(track, int(beat) * BAR / 3, glass(note), 0.3, np.cos(int(beat)) / 2)
    add(track, 13 * BAR / 3, pluck("B2"), 0.25, -0.2)
    return fade(in_room(track, 3.0, 0.7, 2000, 21), 0.6, 3.0)


def bell() -> Wave:
    """One stroke. Partials of a tuned minor-third bell (ratios are founders' common practice, from
    memory), each split into a slowly beating pair because an old casting is never quite round."""
    parts = np.array([
        (0.5, 0.5, 14), (1.0, 0.7, 9), (1.2, 0.75, 8), (1.5, 0.2, 5), (2.0, 1.0, 6), (2.51, 0.2, 3),
        (2.66, 0.22, 3), (3.01, 0.5, 3.2), (4.17, 0.4, 2), (5.43, 0.28, 1.2), (6.8, 0.2, 0.7),
        (8.2, 0.12, 0.4), (9.7, 0.08, 0.3),
    ])  # fmt: skip
    stroke = ring(parts * [494, 1, 1], 4.0, 0.0008) + ring(parts * [494.7, 0.22, 1], 4.0, 0.0008)
    clapper = hiss(np.random.default_rng(31), 4.0, 1500, 7000) * 10 ** (-clock(4.0) / 0.008)
    return fade(stroke + 0.25 * clapper, 0.0003, 1.0)


def bell_far() -> Wave:
    """The same stroke over the water: treble gone, an echo off the far wall, mostly air."""
    far = fade(band(np.pad(bell(), (0, count(1.0))), 150, 1100), 0.012, 0.5)
    add(far, 0.43, far.copy(), 0.3)
    return fade(in_room(far, 2.4, 0.9, 1200, 32), 0.012, 1.2)


def cry(seconds: float, low: float, high: float, rng: np.random.Generator) -> Wave:
    """One gull's cry: a quick climb, a long fall, harmonics, a rasp towards the end."""
    t = clock(seconds)
    pitch = curve(1.0, (0, low), (0.16, high), (0.35, 0.96 * high), (1, 0.72 * low))
    pitch = np.interp(t / seconds, clock(1.0), pitch) * (1 + 0.012 * np.sin(2 * np.pi * 27 * t))
    phase = 2 * np.pi * np.cumsum(pitch * (1 + 0.004 * hiss(rng, seconds, 5, 60))) / RATE
    tone = sum(a * np.sin(n * phase + n) for n, a in enumerate((0.6, 1, 0.75, 0.4, 0.2, 0.1), 1))
    rasp = 0.1 * hiss(rng, seconds, 1500, 5000) * t / seconds
    return np.asarray((tone + rasp) * np.interp(t / seconds, (0, 0.08, 0.3, 1), (0, 0.7, 1, 0)))


def gulls() -> Wave:
    """One long mew, then a second bird with three short calls."""
    rng, track = np.random.default_rng(41), np.zeros(count(3.0))
    add(track, 0.06, cry(0.85, 640, 1150, rng), 0.8)
    for at, seconds, high in ((1.15, 0.36, 1380), (1.55, 0.33, 1440), (1.92, 0.42, 1330)):
        add(track, at, cry(seconds, 800, high, rng), 0.5)
    return fade(in_room(track, 1.1, 0.3, 3500, 42), 0.02, 0.3)


def knock(modes: Partials, click: float, rng: np.random.Generator) -> Wave:
    """A short blow: the modes of what is hit, and a click that is gone after `click` seconds."""
    noise = hiss(rng, 0.35, 700, 5000, 2) * 10 ** (-3 * clock(0.35) / click)
    return ring(modes, 0.35, attack=0.0006) + 0.2 * noise


def steps() -> Wave:
    """Four steps, 16 frames apart at 24 fps: heel, then sole with grit under it."""
    rng, track = np.random.default_rng(51), np.zeros(count(2.75))
    for n in range(4):
        at, loud = 0.0625 + n * 16 / 24 + rng.uniform(-0.012, 0.012), rng.uniform(0.85, 1.0)
        low = 95 * rng.uniform(0.93, 1.07)
        heel = [(low, 1.2, 0.14), (2.4 * low, 0.7, 0.1), (640 + 60 * n, 0.3, 0.05)]
        add(track, at, knock(heel, 0.05, rng), loud)
        add(track, at + 0.115, knock([(1.3 * low, 0.6, 0.1), (420, 0.2, 0.05)], 0.04, rng), 0.65)
        for _ in range(14):
            grain = hiss(rng, 0.02, 2500, 7000) * 10 ** (-clock(0.02) / 0.004)
            add(track, at + 0.1 + abs(rng.normal(0, 0.06)), grain, rng.uniform(0.02, 0.08))
    return fade(in_room(track, 0.5, 0.22, 3000, 52), 0.005, 0.2)


def hinge() -> Wave:
    """Stick and slip: a train of uneven small jerks, faster and slower, through the door's wood."""
    rng, wood = np.random.default_rng(61), np.zeros(count(1.9))
    pace = ((0, 26), (0.25, 70), (0.7, 150), (0.95, 118), (1.35, 215), (1.7, 90), (1.9, 30))
    turns = curve(1.9, *pace) * np.maximum(0.3, 1 + 0.15 * hiss(rng, 1.9, 3, 14))
    jerks = np.diff(np.floor(np.cumsum(turns) / RATE), prepend=0) * rng.uniform(0.5, 1, len(wood))
    for hz, loud, width in ((310, 0.7, 40), (560, 0.6, 45), (980, 1.0, 60), (1540, 0.8, 90),
                            (2350, 0.6, 130), (3600, 0.3, 220)):  # fmt: skip
        r, turn = np.exp(-np.pi * width / RATE), 2 * np.cos(2 * np.pi * hz / RATE)
        board = lfilter([1, 0, -1], [1, -r * turn, r**2], jerks)
        wood += loud * board / board.std()
    force = ((0, 0.25), (0.3, 0.6), (0.7, 1), (0.95, 0.45), (1.35, 0.9), (1.75, 0.35), (1.9, 0))
    return fade(in_room(wood * curve(1.9, *force), 0.6, 0.15, 2500, 62), 0.01, 0.08)


def rattle() -> Wave:
    """Three handfuls of odds and ends (wood, iron, crockery) pushed about in a wooden chest."""
    rng, track = np.random.default_rng(71), np.zeros(count(3.0))
    kinds = np.array([
        [(240, 1.0, 0.12), (590, 0.6, 0.08), (1150, 0.3, 0.05)],
        [(1310, 0.5, 0.3), (2870, 0.5, 0.22), (4630, 0.3, 0.15)],
        [(1850, 0.6, 0.14), (3420, 0.4, 0.1), (5200, 0.2, 0.06)],
    ])  # fmt: skip
    for start, length, hits in ((0.08, 0.75, 17), (1.0, 0.6, 13), (1.85, 0.8, 19)):
        for at in start + length * rng.beta(1.4, 1.8, hits):
            modes = kinds[rng.choice(3, p=[0.5, 0.28, 0.22])] * [rng.uniform(0.8, 1.25), 1, 1]
            add(track, at, knock(modes, 0.02, rng), rng.uniform(0.2, 0.9) ** 1.5)
        scrape = hiss(rng, length, 400, 2600, 2) * np.sin(np.pi * clock(length) / length)
        add(track, start, scrape, 0.04)
    return fade(in_room(track + 0.7 * band(track, 120, 260), 0.35, 0.3, 2200, 72), 0.005, 0.25)


def lap() -> Wave:
    """Small waves against a wall, a loop of 10 s: wash, slap, and bubbles that rise in pitch."""
    rng, track, t = np.random.default_rng(81), np.zeros((count(12.0), 2)), clock(0.12)
    shape = curve(1.2, (0, 0), (0.35, 0.7), (0.45, 1), (0.65, 0.4), (1.2, 0)) ** 2
    for at in 0.2 + 1.25 * np.arange(8) + rng.uniform(-0.2, 0.2, 8):
        pan, loud = rng.uniform(-0.7, 0.7), rng.uniform(0.55, 1.0)
        add(track, at, hiss(rng, 1.2, 260, 1500, 3) * shape, 0.13 * loud, pan)
        for late in 0.36 + np.abs(rng.normal(0, 0.22, 16)):
            hz, decay = rng.uniform(420, 1500), rng.uniform(0.012, 0.036)
            drop = np.sin(2 * np.pi * hz * (t + 2.2 * t * t)) * np.exp(-t / decay)
            drop *= np.minimum(t / 0.003, 1) * np.minimum((0.12 - t) / 0.01, 1)
            add(track, at + late, drop, rng.uniform(0.05, 0.3) * loud, pan + rng.uniform(-0.3, 0.3))
    track[: count(2)] += track[count(10) :]
    for side in (-0.9, 0.9):
        add(track, 0, hiss(rng, 10.0, 180, 800), 0.016, side)
    return track[: count(10)]


def wind() -> Wave:
    """A quiet bed, a loop of 20 s: three bands of air whose gusts come and go by turns."""
    rng, track, turn = np.random.default_rng(91), np.zeros((count(20), 2)), np.pi * clock(20) / 10
    for low, high, level in ((90, 260, 1.0), (260, 620, 0.8), (600, 1300, 0.45)):
        a, b = rng.uniform(0, 2 * np.pi, 2)
        for side in (-0.7, 0.7):
            gust = 0.5 + 0.35 * np.sin(2 * turn + a + 0.5 * side) + 0.15 * np.sin(5 * turn + b)
            add(track, 0, hiss(rng, 20, low, high) * gust**1.5, level, side)
    return track


# file: maker, sample rate (a loop keeps RATE: resampling would mark its seam), peak in dBFS
SOUNDS: dict[str, tuple[Callable[[], Wave], int, float]] = {
    "tide.m4a": (tide, 48_000, -3), "shed.ogg": (shed, 44_100, -6),
    "bell.wav": (bell, 48_000, -3), "bell_far.flac": (bell_far, 48_000, -15),
    "gulls.wav": (gulls, 44_100, -6), "steps.wav": (steps, 48_000, -6),
    "hinge.wav": (hinge, 44_100, -6), "rattle.wav": (rattle, 48_000, -5),
    "lap.ogg": (lap, 48_000, -9), "wind.ogg": (wind, 48_000, -16),
}  # fmt: skip


def speak(name: str) -> tuple[Wave, int]:
    """The line as espeak-ng says it, its silence trimmed to 60 ms at both ends, and its rate."""
    if shutil.which("espeak-ng") is None:
        raise SystemExit(NO_VOICE)
    voice, pitch, speed = VOICES[name.split("_")[0]]
    command = ["espeak-ng", "-v", voice, "-p", str(pitch), "-s", str(speed), "--stdout"]
    said = subprocess.run([*command, LINES[name]], capture_output=True, check=False)
    if not said.stdout:
        raise SystemExit(f"make_sounds: espeak-ng failed on {name}: {said.stderr.decode().strip()}")
    wave, rate = soundfile.read(io.BytesIO(said.stdout), dtype="float64")
    loud, pad = np.flatnonzero(np.abs(wave) > 0.01 * np.abs(wave).max()), round(0.06 * rate)
    wave = np.pad(wave, pad)[loud[0] : loud[-1] + 1 + 2 * pad]
    ramp = np.sin(np.linspace(0, np.pi / 2, pad)) ** 2
    return wave * np.concatenate([ramp, np.ones(len(wave) - 2 * pad), ramp[::-1]]), rate


def store(path: Path, wave: Wave, rate: int, peak: float) -> None:
    """Bring the wave to its peak in dBFS and write it beside `path`, then rename."""
    wave, file = wave * 10 ** (peak / 20) / np.abs(wave).max(), io.BytesIO()
    if path.suffix in (".m4a", ".ogg"):
        (write_m4a if path.suffix == ".m4a" else write_ogg)(file, wave, rate)
    else:
        soundfile.write(file, wave, rate, "PCM_16", format=path.suffix[1:].upper())
    part = path.with_name(path.name + ".part")
    part.write_bytes(file.getvalue())
    part.replace(path)


def write_m4a(file: io.BytesIO, wave: Wave, rate: int) -> None:
    """AAC at 112 kbit/s in MP4, without the time of day in it."""
    with av.open(file, "w", format="ipod", container_options={"fflags": "+bitexact"}) as out:
        stream = out.add_stream("aac", rate=rate, layout="stereo", options={"flags": "+bitexact"})
        assert isinstance(stream, av.AudioStream)
        stream.bit_rate = 112_000
        samples = np.ascontiguousarray(wave.T, dtype=np.float32)
        frame = av.AudioFrame.from_ndarray(samples, format="fltp", layout="stereo")
        frame.sample_rate, frame.time_base, frame.pts = rate, Fraction(1, rate), 0
        out.mux([*stream.encode(frame), *stream.encode(None)])


def write_ogg(file: io.BytesIO, wave: Wave, rate: int) -> None:
    """Vorbis. soundfile draws a random stream number; its packets are copied under a fixed one."""
    drawn, bare = io.BytesIO(), {"fflags": "+bitexact"}
    soundfile.write(drawn, wave, rate, "VORBIS", format="OGG", compression_level=0.6)
    drawn.seek(0)
    with av.open(drawn, "r") as source, av.open(file, "w", "ogg", container_options=bare) as out:
        stream = out.add_stream_from_template(source.streams.audio[0])
        for packet in source.demux(audio=0):
            packet.stream = stream
            out.mux([packet] if packet.size else [])  # the last is empty: end of file


def report(path: Path) -> str:
    """What a decoder finds in the file that was written."""
    with av.open(str(path)) as file:
        rate, floats = file.streams.audio[0].rate, av.AudioResampler(format="fltp")
        frames = [f.to_ndarray() for got in file.decode(audio=0) for f in floats.resample(got)]
    wave: Wave = np.concatenate(frames, axis=1, dtype=np.float64)
    peak, rms = 20 * np.log10([np.abs(wave).max(), np.sqrt(np.mean(wave**2))])
    size = f"{rate:6} Hz {len(wave)} ch {wave.shape[1]:8} = {wave.shape[1] / rate:9.5f} s"
    return f"{path.name:13} {size}{peak:6.1f} peak{rms:6.1f} rms dBFS {path.stat().st_size:8} bytes"


def main(wanted: Sequence[str]) -> None:
    names = {Path(name).stem: name for name in [*(f"{line}.wav" for line in LINES), *SOUNDS]}
    if strange := set(wanted) - set(names):
        raise SystemExit(f"make_sounds: no sound {min(strange)!r}; there are: {' '.join(names)}")
    SOUND.mkdir(exist_ok=True)
    for stem in wanted or names:
        path = SOUND / names[stem]
        if stem in LINES:
            store(path, *speak(stem), peak=-3)
        else:
            make, rate, peak = SOUNDS[path.name]
            store(path, resample_poly(make(), rate // 300, RATE // 300), rate, peak)
        print(report(path))


if __name__ == "__main__":
    main(sys.argv[1:])
