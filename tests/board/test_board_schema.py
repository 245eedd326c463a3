"""The JSON Schema of the board, as editors use it, against boards that are sound and not.

The reference is the jsonschema package (JSON Schema, draft 2020-12), on what PyYAML's plain
safe_load makes of a board: that is what an editor's checker sees.
"""

from __future__ import annotations

from copy import deepcopy
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from animatic.board.keys.schema import BoardContent
from tests.boards import BoardFolder

SOUND = """\
board: 1
title: Low Water
rate: 23.976
shoot_on: 2
start: 01:00:00:00
picture: {size: 160x90, fit: contain}
handles: 8f
defaults: {duration: 2s, shortest: 1.5s}
speech: {words_per_minute: 160, lead: 0s, gap: 6f, tail: 0.5s}
cast: {Odd: {words_per_minute: 140.5}, Pim: {}}
lettering: {shot: true, size: false, dialogue: true}
mix: {duck: 9, duck_attack: 0.3s, music: -3.5}
setups:
  quay-day: {place: Quay, opened: [sea wall], lights: [panel left 40 %], rig: 1h30m, note: 3}
  4: {}
music:
  - {file: a.wav, from: shot 10, until: shot 20, level: -18, fade_in: 1s, skip: 0f, licence: own}
outside: refuse
panels:
  - shot: 10
    photo: a.jpg
    size: MS OTS
    setup: quay-day
    duration: 1m4s
    crop: {left: 0.1, top: 0, width: 0.5, height: 0.5}
    move: {to: {width: 0.5}, ease: both, start: 0s, length: 2s12f}
    transition: {from_black: 12f}
    dialogue:
      - {who: Odd, line: The tide is late., voice: a.wav, at: 3+08, level: -2.5}
      - {who: Pim, line: 7}
    sounds: [{file: a.wav, at: 12f, length: 00:00:00:12}]
    shoot_on: 1
  - {photo: a.jpg, duration: 36f}
  - {shot: 20, photo: a.jpg, note: The last.}
"""


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    return BoardContent.model_json_schema(by_alias=True)


def faults(schema: dict[str, Any], board: Any) -> list[str]:
    validator = jsonschema.Draft202012Validator(schema)
    return [error.message for error in validator.iter_errors(board)]


def test_the_schema_is_one(schema: dict[str, Any]) -> None:
    jsonschema.Draft202012Validator.check_schema(schema)


def test_it_accepts_a_board_with_nearly_every_key(schema: dict[str, Any], tmp_path: Path) -> None:
    assert faults(schema, yaml.safe_load(SOUND)) == []
    board = BoardFolder(tmp_path)
    board.photo()
    board.sound()
    board.read(SOUND)  # So does the reader.


def test_it_accepts_a_board_of_the_few_keys_that_must_be_there(schema: dict[str, Any]) -> None:
    board = yaml.safe_load("board: 1\npanels:\n  - {shot: 10, photo: a.jpg}\n")
    assert faults(schema, board) == []


PLACES: dict[str, tuple[str | int, ...]] = {
    "the board": (),
    "picture": ("picture",),
    "defaults": ("defaults",),
    "speech": ("speech",),
    "a speaker": ("cast", "Odd"),
    "lettering": ("lettering",),
    "mix": ("mix",),
    "a setup": ("setups", "quay-day"),
    "music": ("music", 0),
    "a panel": ("panels", 0),
    "a crop": ("panels", 0, "crop"),
    "a move": ("panels", 0, "move"),
    "a transition": ("panels", 0, "transition"),
    "a line": ("panels", 0, "dialogue", 0),
    "a sound": ("panels", 0, "sounds", 0),
}


@pytest.mark.parametrize("place", PLACES)
def test_it_refuses_an_unknown_key_everywhere(place: str, schema: dict[str, Any]) -> None:
    board = yaml.safe_load(SOUND)
    inner = board
    for key in PLACES[place]:
        inner = inner[key]
    inner["colour"] = "warm"
    assert len(faults(schema, board)) == 1


@pytest.mark.parametrize(
    ("key", "value"),
    [
        (("board",), 2),
        (("rate",), 26),
        (("shoot_on",), 9),
        (("start",), "01:00"),
        (("picture", "size"), "large"),
        (("picture", "fit"), "fill"),
        (("lettering", "shot"), "maybe"),
        (("mix", "duck"), 60),
        (("panels", 0, "duration"), 2),
        (("panels", 0, "duration"), "two"),
        (("setups", "quay-day", "rig"), "90f"),
        (("setups", "quay-day", "rig"), "3+08"),
        (("setups", "quay-day", "rig"), "00:30:00:00"),
        (("panels", 0, "crop", "left"), -1),
        (("panels", 0, "photo"), ["a.jpg"]),
        (("music", 0, "from"), "10"),
        (("panels",), []),
        (("panels",), {}),
    ],
    ids=str,
)
def test_it_refuses_values_that_cannot_be(
    key: tuple[str | int, ...], value: object, schema: dict[str, Any]
) -> None:
    board = yaml.safe_load(SOUND)
    inner = board
    for step in key[:-1]:
        inner = inner[step]
    before = deepcopy(inner[key[-1]])
    inner[key[-1]] = value
    assert len(faults(schema, board)) == 1
    inner[key[-1]] = before
    assert faults(schema, board) == []


@pytest.mark.parametrize("key", ["board", "panels"])
def test_it_wants_the_keys_that_must_be_there(key: str, schema: dict[str, Any]) -> None:
    board = yaml.safe_load(SOUND)
    del board[key]
    assert faults(schema, board) == [f"'{key}' is a required property"]
