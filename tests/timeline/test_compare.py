"""Comparing two boards: what is said of each shot, and the sums."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from boards import HEAD, BoardFolder, panels
from hypothesis import given
from hypothesis import strategies as st

from animatic.board.keys.schema import BoardContent, PanelEntry
from animatic.frames import Rate
from animatic.sheets.changes import as_json, as_markdown, as_text
from animatic.timeline import lay_out
from animatic.timeline.compare import _moved, compare
from animatic.timeline.differences import _LENGTHS, _OF_SHOTS, Laid

OLD = """
- {shot: 10, photo: a.jpg, duration: 2s}
- {shot: 20, photo: a.jpg, duration: 2s}
- {shot: 30, photo: a.jpg, duration: 3s}
- {shot: 40, photo: a.jpg, duration: 1s}
"""
NEW = """
- {shot: 30, photo: a.jpg, duration: 3s}
- {shot: 10, photo: a.jpg, duration: 2.5s}
- {shot: 20, photo: b.jpg, duration: 1s}
- {shot: 50, photo: a.jpg, duration: 2s}
"""
HOURS = Fraction(6 * 120)
"""What the new board takes more to shoot: six poses at 30 an hour."""


def laid(folder: BoardFolder, rows: str, head: str = HEAD) -> Laid:
    board = folder.read(panels(rows, head))
    return board, lay_out(board)


@pytest.fixture
def folder(tmp_path_factory: pytest.TempPathFactory) -> BoardFolder:
    made = BoardFolder(tmp_path_factory.mktemp("compare"))
    made.photo("a.jpg")
    made.photo("b.jpg")
    made.sound("a.wav", 96_000)
    made.sound("b.wav", 96_000)
    return made


def test_every_kind_of_change_is_named(folder: BoardFolder) -> None:
    comparison = compare(laid(folder, OLD), laid(folder, NEW))
    said = {change.name: (change.kinds, change.what) for change in comparison.changes}
    assert said == {
        "30": (("moved",), ()),
        "10": (("longer",), ()),
        "20": (("shorter", "changed"), ("photo",)),
        "40": (("gone",), ()),
        "50": (("added",), ()),
    }
    assert comparison.frames == 12 - 24 - 24 + 48
    assert comparison.poses == sum(change.poses for change in comparison.changes) == 6


def test_a_board_is_the_same_as_itself(folder: BoardFolder) -> None:
    comparison = compare(laid(folder, OLD), laid(folder, OLD))
    assert comparison.differing == ()
    assert as_text(comparison, HOURS) == "nothing is different\n"


def test_the_table_says_what_it_costs(folder: BoardFolder) -> None:
    comparison = compare(laid(folder, OLD), laid(folder, NEW))
    assert as_text(comparison, HOURS) == (
        "shot  what                      frames before  frames after  change  poses  seconds\n"
        "30    moved                                72            72      +0     +0   +0.000\n"
        "40    gone                                 24             0     -24    -12   -1.000\n"
        "10    longer                               48            60     +12     +6   +0.500\n"
        "20    shorter, changed (photo)             48            24     -24    -12   -1.000\n"
        "50    added                                 0            48     +48    +24   +2.000\n"
        "film                                      192           204     +12     +6   +0.500\n"
        "costs 6 poses, 0 h 12 min of shooting\n"
    )


def test_json_and_markdown_have_the_same_numbers(folder: BoardFolder) -> None:
    comparison = compare(laid(folder, OLD), laid(folder, NEW))
    content = json.loads(as_json(comparison, HOURS))
    assert content["total"] == {
        "frames_before": 192,
        "frames_after": 204,
        "poses": 6,
        "seconds": 0.5,
        "hours": 0.2,
    }
    table = as_markdown(comparison, HOURS).splitlines()
    rows = [line.strip("| ").split(" | ") for line in table if line.startswith("|")][2:]
    assert [row[0].strip() for row in rows[:-1]] == [shot["shot"] for shot in content["shots"]]
    assert [int(row[4]) for row in rows] == [0, -24, 12, -24, 48, 12]


@pytest.mark.parametrize("rate", ["24", "25", "30", "23.976", "29.97"])
def test_seconds_are_those_of_the_frames_gained(folder: BoardFolder, rate: str) -> None:
    # 46 frames and 71 are 1.9167 s and 2.9583 s at 24: rounded, and only then subtracted,
    # they give 1.041 for 25/24 = 1.0417.
    head = f"board: 1\nrate: {rate}\npicture: {{size: 160x90}}\n"
    lengths = [(46, 71), (71, 46), (100, 112), (112, 100), (97, 98), (30, 30)]
    rows = "- {{shot: {}, photo: a.jpg, duration: {}f, shoot_on: 1}}"

    def read(side: int) -> Laid:
        shots = (rows.format(n, pair[side]) for n, pair in enumerate(lengths))
        board = folder.read(panels("\n".join(shots), head))
        return board, lay_out(board)

    comparison = compare(read(0), read(1))
    exact = [(after - before) / Rate.named(rate).fps for before, after in lengths]
    exact = [*(one for one in exact if one), sum(exact, Fraction(0))]
    # Checked by decimal arithmetic of the standard library, halves away from zero.
    places = Decimal("0.001")
    wanted = [
        (Decimal(one.numerator) / one.denominator).quantize(places, ROUND_HALF_UP) for one in exact
    ]
    content = json.loads(as_json(comparison, HOURS), parse_float=Decimal)
    found = [*(shot["seconds"] for shot in content["shots"]), content["total"]["seconds"]]
    assert found == wanted
    texts = [as_text(comparison, HOURS).splitlines()[1:-1]]
    texts.append([row.strip("| ") for row in as_markdown(comparison, HOURS).splitlines()[4:-2]])
    for lines in texts:
        assert [line.split()[-1] for line in lines] == [f"{one:+.3f}" for one in wanted]
    if rate == "24":
        assert str(found[0]) == "1.042"


@pytest.mark.parametrize(
    ("poses", "seconds", "words"),
    [
        (1, 120, "costs 1 pose, 0 h 02 min of shooting"),
        (-24, -5400, "saves 24 poses, 1 h 30 min of shooting"),
        (24, -5400, "costs 24 poses, saves 1 h 30 min of shooting"),
        (24, 0, "costs 24 poses, takes as long to shoot"),
        (0, 5400, "leaves as many poses to set, costs 1 h 30 min of shooting"),
        (0, 0, "leaves as many poses to set, takes as long to shoot"),
    ],
)
def test_the_cost_is_said_in_poses_and_in_hours(
    folder: BoardFolder, poses: int, seconds: int, words: str
) -> None:
    # At 24 frames a second on twos a pose is two frames.
    old, new = PANEL.format("").replace("2s", "96f"), PANEL.format(", note: x")
    comparison = compare(laid(folder, old), laid(folder, new.replace("2s", f"{96 + 2 * poses}f")))
    assert as_text(comparison, Fraction(seconds)).splitlines()[-1] == words
    assert f"\nThe change {words}.\n" in as_markdown(comparison, Fraction(seconds))


def test_long_lists_of_keys_are_wrapped(folder: BoardFolder) -> None:
    head = "".join(f"{line}\n" for line, _ in FILM) + "board: 1\n"
    head = head.replace("picture: {size: 160x90, fit: contain}\n", "")
    said = "".join(f", {key}: {value}" for key, value in SHOT.items())
    old, new = laid(folder, PANEL.format("")), laid(folder, PANEL.format(said), head)
    comparison = compare(old, new)
    film, shot = comparison.what, comparison.changes[0].what
    assert min(map(len, (film, shot))) > 10
    text, page = as_text(comparison, HOURS), as_markdown(comparison, HOURS)
    # A row of the page has seven cells with three signs between two, and backslashes.
    for paper, most in ((text, 100), (page, 130)):
        lines = paper.splitlines()
        assert max(map(len, lines)) <= most
        # Each key stands whole in a line, in order, and under the shots, not among them.
        plain = paper.replace("\\", "")
        at = [plain.index(key) for key in shot]
        assert at == sorted(at)
        assert " ".join(plain.split()).count(f"f the whole film: {', '.join(film)}") == 1


def test_text_that_is_half_a_character_is_written_as_json(folder: BoardFolder) -> None:
    # RFC 8259, 8.2: such a half can only stand in JSON as its escape.
    comparison = compare(laid(folder, OLD), laid(folder, NEW))
    written = as_json(replace(comparison, what=("setups \ud800",)), HOURS)
    assert "setups \\ud800" in written.encode().decode()


SHOT = {
    "size": "MS",
    "setup": "quay",
    "fit": "contain",
    "crop": "{left: 0.1, width: 0.5}",
    "move": "{to: {width: 0.5, height: 0.5}, length: 12f}",
    "mirror": "true",
    "looks": "left",
    "transition": "{from_black: 6f}",
    "dialogue": "[{who: Odd, line: Late., over: next}]",
    "sounds": "[{file: a.wav}]",
    "dress": "10m",
    "poses_per_hour": "20",
    "note": "slowly",
    "shoot_on": "1",
}
"""What a panel may say beside its name, photo and length; the last changes the poses too."""
WITHIN = [
    ("dialogue", "[{who: Pim, line: Late., over: next}]", "dialogue who"),
    ("dialogue", "[{who: Odd, line: Late!, over: next}]", "dialogue line"),
    ("dialogue", "[{who: Odd, line: Late., over: next, level: -3}]", "dialogue level"),
    ("dialogue", "[{who: Odd, line: Late., over: next, voice: a.wav}]", "dialogue voice"),
    ("dialogue", "[{who: Odd, line: Late., over: next, note: softly}]", "dialogue note"),
    ("dialogue", "[{who: Odd, line: Late., over: next, at: 3f}]", "dialogue at"),
    ("sounds", "[{file: b.wav}]", "sounds file"),
    ("sounds", "[{file: a.wav, level: -3}]", "sounds level"),
    ("sounds", "[{file: a.wav, licence: own}]", "sounds licence"),
    ("crop", "{left: 0.2, width: 0.5}", "crop left"),
    ("move", "{to: {width: 0.5, height: 0.5}, length: 13f}", "move length"),
    ("transition", "{from_black: 7f}", "transition from_black"),
]
FILM = [
    ("title: Ebb", "title"),
    ("rate: 25", "rate"),
    ("start: '02:00:00:00'", "start"),
    ("picture: {size: 160x90, fit: contain}", "picture fit"),
    ("picture: {size: 320x180}", "picture size"),
    ("speech: {lead: 1s}", "speech lead"),
    ("cast: {Odd: {words_per_minute: 120}}", "cast Odd"),
    ("lettering: {dialogue: false}", "lettering dialogue"),
    ("mix: {duck: 3}", "mix duck"),
    ("pace: {poses_per_hour: 20, changes: {place: 1h}}", "pace poses_per_hour, pace changes place"),
    ("day: {hours: 5}", "day hours"),
    ("setups: {quay: {lens: 50 mm}}", "setups quay lens"),
    ("music: [{file: a.wav}]", "music"),
    ("media: '{shot}_{take}'", "media"),
]


def said_of(old: str, new: str, folder: BoardFolder, heads: tuple[str, str]) -> tuple[str, ...]:
    """Return what is said of the only shot; the three papers say the same."""
    comparison = compare(laid(folder, old, heads[0]), laid(folder, new, heads[1]))
    change = comparison.changes[0]
    what = (*change.what, *comparison.what)
    shown = f"({', '.join(change.what)})" if change.what else f"film: {', '.join(comparison.what)}"
    assert shown in as_text(comparison, HOURS)
    assert shown in as_markdown(comparison, HOURS).replace("\\", "")
    content = json.loads(as_json(comparison, HOURS))
    assert content["film"] == list(comparison.what)
    assert [one["what"] for one in content["shots"]] == [
        list(one.what) for one in comparison.differing
    ]
    return what


SETUPS = HEAD + "setups: {quay: {lens: 35 mm}}\n"
PANEL = "- {{shot: 10, photo: a.jpg, duration: 2s{}}}"


def test_every_key_of_a_panel_is_compared(folder: BoardFolder) -> None:
    known = set(PanelEntry.model_fields) - {"shot", "photo", *_LENGTHS}
    assert set(SHOT) == known
    for key, value in SHOT.items():
        said = said_of(PANEL.format(""), PANEL.format(f", {key}: {value}"), folder, (SETUPS,) * 2)
        assert said == (key,), key


@pytest.mark.parametrize(("key", "value", "words"), WITHIN)
def test_what_is_different_within_a_key_is_named(
    folder: BoardFolder, key: str, value: str, words: str
) -> None:
    old, new = (PANEL.format(f", {key}: {one}") for one in (SHOT[key], value))
    assert said_of(old, new, folder, (HEAD, HEAD)) == (words,)


@pytest.mark.parametrize(("line", "words"), FILM)
def test_what_no_single_shot_says_is_told_of_the_film(
    folder: BoardFolder, line: str, words: str
) -> None:
    plain = "board: 1\npicture: {size: 160x90}\nsetups: {quay: {lens: 35 mm}}\nrate: 24\n"
    key = line.partition(":")[0]
    kept = [one for one in plain.splitlines() if not one.startswith(f"{key}:")]
    rows = PANEL.format("")
    assert ", ".join(said_of(rows, rows, folder, (plain, "\n".join([*kept, line, ""])))) == words


def test_every_key_of_a_board_is_compared() -> None:
    tried = {line.partition(":")[0] for line, _ in FILM}
    assert tried | {*_OF_SHOTS, *_LENGTHS} >= set(BoardContent.model_fields)


def test_panels_that_share_a_shot_otherwise_are_told(folder: BoardFolder) -> None:
    heads = (HEAD, HEAD)
    two = "- {{shot: 10, photo: a.jpg, duration: {}f, size: MS}}\n- {{photo: b.jpg, duration: {}f}}"
    assert said_of(two.format(48, 24), two.format(24, 48), folder, heads) == ("panel lengths",)
    one = "- {shot: 10, photo: a.jpg, duration: 72f, size: MS}"
    assert said_of(two.format(48, 24), one, folder, heads) == ("panels", "photo")
    three = two.format(48, 12) + "\n- {photo: b.jpg, duration: 12f, note: still}"
    assert said_of(two.format(48, 24), three, folder, heads) == ("panels", "note")


def test_the_same_length_written_otherwise_is_no_difference(folder: BoardFolder) -> None:
    old = PANEL.format(", sounds: [{file: a.wav, at: 12f, level: 0}]")
    new = PANEL.format(", sounds: [{file: a.wav, at: 0.5s}]").replace("2s", "1s ~48f")
    assert compare(laid(folder, old), laid(folder, new)).is_none


@given(st.permutations(list("abcdefg")))
def test_the_fewest_shots_are_called_moved(after: list[str]) -> None:
    before = list("abcdefg")
    moved = _moved(before, after)
    assert [name for name in after if name not in moved] == [
        name for name in before if name not in moved
    ]
    # The longest run in the old order, found by trying all subsets.
    longest = max(
        sum(mask >> i & 1 for i in range(7))
        for mask in range(128)
        if (kept := [n for i, n in enumerate(after) if mask >> i & 1]) == sorted(kept)
    )
    assert len(moved) == 7 - longest
