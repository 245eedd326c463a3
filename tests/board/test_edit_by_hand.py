"""Edits in place, case by case: the style of what is added, what is refused and in which words."""

from __future__ import annotations

import pytest

from animatic.board.edits import edit
from animatic.board.edits.edit import Change, Removal, edited
from animatic.errors import BoardError, InternalError, UsageError

PANEL = ("panels", 0)
DURATION = (*PANEL, "duration")
A = "panels:\n- shot: 10\n  photo: a.jpg\n"

REPLACED = {
    "the comment stays": ("k: 2s  # why\n", "k: 60f  # why\n"),
    "the quotation marks stay": ("k: '2s'\n", "k: '60f'\n"),
    "the other ones too": ('{"k":"2s"}\n', '{"k":"60f"}\n'),
    "a tab is a space": ("k:\t2s\t# a\tb\n", "k:\t60f\t# a\tb\n"),
    "a text over lines": ("k: a\n   b\n\n   c # d\nl: m\n", "k: 60f # d\nl: m\n"),
    "a quoted text over lines": ('k: "a\n\n  b"\nl: m\n', 'k: "60f"\nl: m\n'),
    "a literal text": ("k: | # c\n   a\n   b\n\n# d\nl: m\n", "k: 60f # c\n\n# d\nl: m\n"),
    "a folded text that keeps lines": ("k: >+\n a\n\n\nl: m\n", "k: 60f\n\n\nl: m\n"),
    "a literal text without a last break": ("k: |\n  a", "k: 60f"),
    "an empty literal text": ("k: |\nl: m\n", "k: 60f\nl: m\n"),
    "a value on its own line": ("k:\n    2s # c\nl: m\n", "k:\n    60f # c\nl: m\n"),
    "nothing": ("k:\nl: m\n", "k: 60f\nl: m\n"),
    "nothing but a comment": ("k: # c\nl: m\n", "k: 60f # c\nl: m\n"),
    "nothing in braces": ("{j: i, k: , l: m}", "{j: i, k: 60f , l: m}"),
    "not even a colon": ("{j: i, k, l: m}", "{j: i, k: 60f, l: m}"),
    "a key with a question mark": ("? k\n: 2s\n", "? k\n: 60f\n"),
    "a literal text further out than others may be": ("k:\n|\n a\n", "k:\n 60f\n"),
    "old line ends": ("j: i\rk: 2s\rl: m", "j: i\rk: 60f\rl: m"),
    "wide characters before it": ("{j: é🎬𝄞, k: 2s}", "{j: é🎬𝄞, k: 60f}"),
    "a line break of its own kind": ("j: i\u2028k: 2s\x85l: m", "j: i\u2028k: 60f\x85l: m"),
}


@pytest.mark.parametrize(("before", "after"), REPLACED.values(), ids=REPLACED.keys())
def test_a_value_is_replaced(before: str, after: str) -> None:
    assert edited(before.encode(), [Change(("k",), "60f")], "b.yaml").decode() == after


ADDED = {
    "behind the key listed before it": (
        f"{A}  size: WS   # wide\n  note: x\n",
        f"{A}  size: WS   # wide\n  duration: 60f\n  note: x\n",
    ),
    "at the end": (A, f"{A}  duration: 60f\n"),
    "without a last line break": (A[:-1], f"{A}  duration: 60f"),
    "with Windows line ends": (
        A.replace("\n", "\r\n"),
        f"{A}  duration: 60f\n".replace("\n", "\r\n"),
    ),
    "behind a comment further in": (
        f"{A}     # which one?\n  # the sound\n  sounds: []\n",
        f"{A}     # which one?\n  duration: 60f\n  # the sound\n  sounds: []\n",
    ),
    "behind a literal text": (
        "panels:\n  - note: a\n    size: |\n      b\n\n    lock: c\n",
        "panels:\n  - note: a\n    size: |\n      b\n    duration: 60f\n\n    lock: c\n",
    ),
    "behind a literal text with its empty lines": (
        "panels:\n  - size: |+\n      b\n\n    lock: c\n",
        "panels:\n  - size: |+\n      b\n\n    duration: 60f\n    lock: c\n",
    ),
    "before a literal text that ends the file": (
        "panels:\n  - size: |\n      b",
        "panels:\n  - duration: 60f\n    size: |\n      b",
    ),
    "in braces": (
        "panels: [{photo: a.jpg, note: x}]",
        "panels: [{photo: a.jpg, duration: 60f, note: x}]",
    ),
    "in braces at the end": (
        "panels: [ {photo: a.jpg } ]",
        "panels: [ {photo: a.jpg, duration: 60f } ]",
    ),
    "in empty braces": ("panels: [{}]", "panels: [{duration: 60f}]"),
    "before a comment in braces": (
        "panels: [{shot: 1, photo: a.jpg # why\n }]",
        "panels: [{shot: 1, photo: a.jpg, duration: 60f # why\n }]",
    ),
    "in braces with a line for each": (
        "panels: [{\n  photo: a.jpg, # why\n  note: x\n}]",
        "panels: [{\n  photo: a.jpg, # why\n  duration: 60f,\n  note: x\n}]",
    ),
    "in braces with a line for each, at the end": (
        "panels: [{\n  photo: a.jpg # why\n}]",
        "panels: [{\n  photo: a.jpg, # why\n  duration: 60f\n}]",
    ),
    "in braces with a comma at the end": (
        "panels: [{\n  photo: a.jpg,\n}]",
        "panels: [{\n  photo: a.jpg,\n  duration: 60f,\n}]",
    ),
}


@pytest.mark.parametrize(("before", "after"), ADDED.values(), ids=ADDED.keys())
def test_a_key_is_added_in_the_style_of_its_neighbours(before: str, after: str) -> None:
    assert edited(before.encode(), [Change(DURATION, "60f")], "b.yaml").decode() == after
    assert edited(after.encode(), [Removal(DURATION)], "b.yaml").decode() == before


def test_a_key_listed_before_all_others_goes_behind_the_first() -> None:
    board = b"panels:\n- photo: a.jpg\n  note: x\n"
    made = edited(board, [Change((*PANEL, "shot"), "10")], "b.yaml")
    assert made == b"panels:\n- photo: a.jpg\n  shot: 10\n  note: x\n"


def test_new_keys_stand_in_the_order_of_the_reference() -> None:
    changes = [Change((*PANEL, "note"), "x, y"), Change((*PANEL, "crop", "top"), "0.1")]
    changes += [Change((*PANEL, "size"), "WS"), Change((*PANEL, "crop", "left"), "0.2")]
    made = edited(A.encode(), changes, "b.yaml").decode()
    assert made == f"{A}  size: WS\n  crop: {{top: 0.1, left: 0.2}}\n  note: x, y\n"


def test_what_goes_into_an_inner_mapping_stands_before_what_goes_around_it() -> None:
    changes = [Change(("e",), "5"), Change(("a", "d"), "4"), Change(("a", "b", "c"), "3")]
    made = edited(b"a:\n  b:\n    x: 1", changes, "b.yaml")
    assert made == b"a:\n  b:\n    x: 1\n    c: 3\n  d: 4\ne: 5"


REMOVED = {
    "with its line": ("  duration: 2s\n", ""),
    "the comment behind it stays": ("  duration: 2s   # why\n", "  # why\n"),
    "at the end of the file": ("  note: x\n  duration: 2s # why", "  note: x\n  # why"),
    "comments of their own stay": ("  # a\n  duration: 2s\n  # b\n", "  # a\n  # b\n"),
    "a literal text": ("  duration: |\n    a\n\n  note: x\n", "\n  note: x\n"),
    "a mapping": ("  duration:\n    a: b # c\n    d: e\n  note: x\n", "  note: x\n"),
}


@pytest.mark.parametrize(("before", "after"), REMOVED.values(), ids=REMOVED.keys())
def test_a_key_is_taken_out_of_lines(before: str, after: str) -> None:
    made = edited(f"{A}{before}".encode(), [Removal(DURATION)], "b.yaml").decode()
    assert made == f"{A}{after}"


BEHIND_A_DASH = {
    "the next key takes its place": ("- k: a\n  l: c\n", "- l: c\n"),
    "the comment behind it stays": ("- k: a # b\n  l: c\n", "- # b\n  l: c\n"),
    "a comment between stays": ("- k: a\n  # b\n  l: c\n", "- \n  # b\n  l: c\n"),
    "the only key": ("- k: a # b\n- l: c\n", "- {} # b\n- l: c\n"),
    "first in braces": ("- {k: a, l: c}\n", "- {l: c}\n"),
    "first in braces by lines": ("- {\n  k: a, # b\n  l: c}\n", "- {\n  # b\n  l: c}\n"),
    "only in braces": ("- { k: a, }\n", "- {  }\n"),
    "behind a comma at the line start": ("- {l: c\n , k: a # b\n }\n", "- {l: c\n  # b\n }\n"),
    "a comma in a comment is none": ("- {l: c # x, y\n , k: a}\n", "- {l: c # x, y\n }\n"),
    "with a brace behind it": ("- {l: c, # b\n   k: a}\n", "- {l: c # b\n   }\n"),
}


@pytest.mark.parametrize(("before", "after"), BEHIND_A_DASH.values(), ids=BEHIND_A_DASH.keys())
def test_a_key_is_taken_out_of_a_list(before: str, after: str) -> None:
    assert edited(before.encode(), [Removal((0, "k"))], "b.yaml").decode() == after


def test_the_text_above_keeps_the_line_break_at_its_end() -> None:
    assert edited(b"j: |\n  a\nk: b", [Removal(("k",))], "b.yaml") == b"j: |\n  a\n"
    assert edited(b"j: |-\n  a\nk: b", [Removal(("k",))], "b.yaml") == b"j: |-\n  a"


BELOW_A_TEXT = {
    "a comment does not become its line": ("|\n   a\n", "    # b\n", "  # b\n"),
    "nor does one of an empty text": ("|-\n", "    # b\n", "  # b\n"),
    "nor one where the text says how far in it is": (">1\n    a\n", "   # b\n", "  # b\n"),
    "a comment that cannot be one stays": ("|\n      a\n", "     # b\n", "     # b\n"),
    "so does one behind an empty line": ("|\n   a\n", "\n    # b\n", "\n  # b\n"),
    "empty lines go where they would be kept": ("|+\n   a\n\n", "\n  \n  # b\n\n", "  # b\n\n"),
    "lines of spaces go": ("|\n   a\n", "      \n\n", "\n"),
}


@pytest.mark.parametrize(
    ("above", "before", "after"), BELOW_A_TEXT.values(), ids=BELOW_A_TEXT.keys()
)
def test_a_key_below_a_text_is_taken_out(above: str, before: str, after: str) -> None:
    text = f"- j: {above}"
    made = edited(f"{text}  k: v\n{before}  l: m\n".encode(), [Removal((0, "k"))], "b.yaml")
    assert made.decode() == f"{text}{after}  l: m\n"


def test_a_comment_that_stays_below_a_text_ends_it() -> None:
    board = b"- j: |\n   a\n  k: v # c\n    # b\n  l: m\n"
    made = edited(board, [Removal((0, "k"))], "b.yaml")
    assert made == b"- j: |\n   a\n  # c\n    # b\n  l: m\n"


def test_all_keys_but_one_can_go_at_once() -> None:
    board = b"{a: 1, b: 2, c: 3, d: 4}"
    changes = [Removal((key,)) for key in "abd"]
    assert edited(board, [*changes, Change(("e",), "5")], "b.yaml") == b"{c: 3, e: 5}"


@pytest.mark.parametrize(
    ("mark", "codec"),
    [
        (b"", "utf-8"),
        (b"\xef\xbb\xbf", "utf-8"),
        (b"\xff\xfe", "utf-16-le"),
        (b"\xfe\xff", "utf-16-be"),
    ],
)
def test_byte_order_marks_and_encodings_stay(mark: bytes, codec: str) -> None:
    board, meant = (mark + f"j: é🎬\nk: {length} # 𝄞\n".encode(codec) for length in ("2s", "60f"))
    assert edited(board, [Change(("k",), "60f")], "b.yaml") == meant


REFUSED = {
    "a list": (
        "a: 1\nk: [b]\n",
        [Change(("k",), "60f")],
        BoardError,
        "b.yaml:2:4: k: a list stands here; allowed: a single value; change it by hand",
    ),
    "a mapping": (
        "k: {a: b}\n",
        [Change(("k",), "60f")],
        BoardError,
        "b.yaml:1:4: k: a mapping of keys stands here; allowed: a single value; change it by hand",
    ),
    "no mapping": (
        "k: v\n",
        [Change(("k", "l"), "60f")],
        BoardError,
        "b.yaml:1:4: k.l: there is no mapping of keys here to write into",
    ),
    "a panel that is not there": (
        A,
        [Change(("panels", 7, "duration"), "60f")],
        BoardError,
        "b.yaml:2:1: panels[8].duration: there is no mapping of keys here to write into",
    ),
    "the same key twice": (
        A,
        [Change(DURATION, "60f"), Change(DURATION, "2s")],
        UsageError,
        "b.yaml: panels[1].duration cannot be changed twice at once",
    ),
    "a key in one that goes": (
        "k: {l: m}\n",
        [Change(("k", "l"), "60f"), Removal(("k",))],
        UsageError,
        "b.yaml: k.l cannot be changed twice at once",
    ),
    "a key that is not there": (
        A,
        [Removal(DURATION)],
        UsageError,
        "b.yaml: there is no key panels[1].duration to take out",
    ),
    "a question mark with nothing behind it": (
        "?\nk: v\n",
        [Change(("",), "60f")],
        BoardError,
        "b.yaml:1:2: this is written in a way that cannot be changed in place; write it as"
        " key: value, or change it by hand",
    ),
    "a key over lines without a colon": (
        "{a\n b, c: d}\n",
        [Change(("a b",), "60f")],
        BoardError,
        "b.yaml:1:2: a b: this is written in a way that cannot be changed in place; write it as"
        " key: value, or change it by hand",
    ),
    "no board at all": (
        "words\n",
        [Change((), "60f")],
        BoardError,
        "b.yaml:1:1: this is not a board; allowed: a single value; change it by hand",
    ),
    "half a character": (
        A,
        [Change(DURATION, "\ud83c")],
        UsageError,
        "'\\ud83c' holds half a character: type it anew",
    ),
    "a pair in a list": (
        "[a: b]",
        [Change((0, "c"), "d")],
        BoardError,
        "b.yaml:1:2: [1]: this is written in a way that cannot be changed in place; write it as"
        " key: value, or change it by hand",
    ),
    "question marks before keys": (
        "? a\n: b\n? c\n: d\n",
        [Removal(("c",))],
        BoardError,
        "b.yaml:3:3: c: this is written in a way that cannot be changed in place; write it as"
        " key: value, or change it by hand",
    ),
    "an anchor": (
        "k: &a 2s\n",
        [Change(("k",), "60f")],
        BoardError,
        "b.yaml:1:4: k: the anchor &a; boards know no anchors; leave it out, or put"
        " the text in quotes",
    ),
}


@pytest.mark.parametrize("case", REFUSED.values(), ids=REFUSED.keys())
def test_what_cannot_be_changed_is_refused(case: tuple[str, list[Change], type, str]) -> None:
    board, changes, kind, words = case
    with pytest.raises(kind) as fault:
        edited(board.encode(), changes, "b.yaml")
    assert str(fault.value) == words


def test_half_of_a_pair_in_utf_16_is_refused() -> None:
    board = b"\xff\xfe" + "k: 2s".encode("utf-16-le") + b"\x00"
    with pytest.raises(BoardError) as fault:
        edited(board, [Change(("k",), "60f")], "b.yaml")
    assert "some of its bytes are no characters" in str(fault.value)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ("61f", "k would not read as meant"),
        ("60f\nl: m", "k would not read as meant"),
        ("[", "b.yaml:1:4: the [ opened here has no ]; put ] at its end"),
    ],
)
def test_what_comes_out_wrong_is_never_handed_on(
    monkeypatch: pytest.MonkeyPatch, wrong: str, words: str
) -> None:
    monkeypatch.setattr(edit, "scalar", lambda *_: wrong)
    with pytest.raises(InternalError) as fault:
        edited(b"k: 2s\n", [Change(("k",), "60f")], "b.yaml")
    start = "b.yaml: the change was not made, since it came out wrong (a fault of this program): "
    assert str(fault.value).startswith(start + words)


def test_nor_what_cannot_be_read_for_the_next_change(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(edit, "scalar", lambda *_: "[")
    with pytest.raises(InternalError) as fault:
        edited(b"k: 2s\nl: m\n", [Change(("k",), "60f"), Removal(("l",))], "b.yaml")
    start = "b.yaml: the change was not made, since it came out wrong (a fault of this program): "
    assert str(fault.value) == f"{start}while parsing a flow sequence"
