"""What is wrong with a text that is no YAML, in words for a person who knows no YAML.

The reader tells where it gave up and what it was about; what is wrong stands in the text
around that place, and is looked for there, the likeliest mistakes first.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import yaml

from animatic.board.text.braces import behind_brace, brace, closer, hidden_end
from animatic.board.text.textlines import BREAK, line_end, line_start, place_in
from animatic.board.text.yamlspot import Found, Spot, quoted
from animatic.errors import Place, Problem

__all__ = ["explained"]

_KEYED = re.compile(
    r"(?P<in>[ ]*(?:-[ ]+)*)(?P<key>[^\s:#'\"{}\[\],-][^:#{}\[\],]*):[ ]+(?P<value>\S.*)"
)
_ENTRY = re.compile(r"[ ]*(?:-[ ]+|-$)*")


def explained(fault: yaml.MarkedYAMLError, text: str, file: str) -> Problem:
    """Return what is wrong, where, and what to do, from a reader's error."""
    mark, opened = fault.problem_mark or fault.context_mark, fault.context_mark
    if mark is None:
        return Problem(Place(file, 1, 1), "", _UNREAD, hint=_LOOK)
    at = min(mark.index, len(text))
    start = opened.index if opened is not None else at
    spot = Spot(text, at, start, fault.context or "", fault.problem or "")
    is_open = spot.context in ("", "while parsing a flow node")
    if is_open and (inner := spot.last_opened()) is not None:
        spot = replace(spot, opened=inner, context="in a flow collection")
    for look in _LOOKS:
        if found := look(spot):
            return Problem(place_in(text, found[0], file), "", found[1], hint=found[2])
    return Problem(place_in(text, at, file), "", _UNREAD, hint=_LOOK)


_UNREAD = "this line cannot be read"
_LOOK = "look at this line and the one above: quotes, colons and spaces at the line start"


def _tab(spot: Spot) -> Found | None:
    for start in (line_start(spot.text, spot.at), *(at for at, _ in spot.above(spot.at)[:1])):
        if match := re.compile(r"[ -]*\t").match(spot.text, start):
            what = "a tab stands before the first word of this line"
            return match.end() - 1, what, "replace the tab by spaces"
    return (
        (spot.at, "a tab stands here", "replace the tab by spaces") if spot.here == "\t" else None
    )


def _two_versions(spot: Spot) -> Found | None:
    """What a program for versions leaves where two of them meet."""
    if match := re.compile(r"^(<{7}|={7}|>{7})", re.MULTILINE).search(spot.text):
        hint = "keep one of them, and take the lines with <<<<<<<, ======= and >>>>>>> out"
        return match.start(), "two versions of the board meet here", hint
    return None


def _dash_sign(spot: Spot) -> Found | None:
    """A dash without its space, or a sign that only looks like a dash."""
    for start in (line_start(spot.text, spot.at), *(at for at, _ in spot.above(spot.at)[:1])):
        line = spot.text[start : line_end(spot.text, start)]
        match = re.match(r"([ ]*)(-(?=\w)|[\u2010-\u2015\u2212\u2022\u00b7*] ?)(\w+:.*)", line)
        if match:
            is_dash = match[2] == "-"
            what = "no space stands behind the dash" if is_dash else f"{match[2][0]} is no dash"
            return start + match.end(1), what, f"write - {match[3][:60]}"
    return None


_SPACES = re.compile("[\u00a0\u1680\u2000-\u200a\u202f\u205f\u3000]")


def _odd_space(spot: Spot) -> Found | None:
    """A space that only looks like one, as programs for letters and pages put in."""
    starts = (line_start(spot.text, spot.at), line_start(spot.text, spot.opened))
    for start in (*starts, *(at for at, _ in spot.above(spot.at)[:1])):
        if match := _SPACES.search(spot.text, start, line_end(spot.text, start)):
            what = f"a space of another kind stands here (U+{ord(match[0]):04X})"
            return match.start(), what, "replace it by a plain space"
    return None


def _quote(spot: Spot) -> Found | None:
    """A quote that is never closed, or a backslash in a text between double quotes."""
    if "quoted scalar" not in spot.context:
        return None
    mark = spot.text[spot.opened]
    if "end of stream" in spot.problem or "document" in spot.problem:
        hint = f"put {mark} at the end of the text, in the same line"
        return spot.opened, f"the quote {mark} opened here has no second {mark}", hint
    line = spot.text[spot.opened : line_end(spot.text, spot.opened)]
    path = re.match(r"\"([^\"]*\.\w+)\"", line)
    hint = "in a path write / instead; else put the text between single quotes, '...'"
    if path and "unknown" in spot.problem:
        hint = f"in a path write / instead: {path[1].replace(chr(92), '/')}"
    return spot.at, "a backslash stands in a text between double quotes", hint


def _behind_quote(spot: Spot) -> Found | None:
    """A text in quotes that ends too early, or lines too late."""
    start, end, mark = spot.last_quoted()
    if not mark or spot.text[end : spot.at].strip() or spot.here in ":,}]":
        return None
    if BREAK.search(spot.text, start, end):
        what = f"the quote {mark} opened here goes on over the end of the line"
        return start, what, f"put {mark} at the end of the text, in the same line"
    inside = _meant_inside(spot, start, end, mark)
    what = f"the text between quotes ends before this, at the second {mark}"
    if mark == "'" and '"' not in inside:
        return spot.at, what, f'put the whole text between double quotes: "{inside}"'
    if mark == '"' and "'" not in inside:
        return spot.at, what, f"put the whole text between single quotes: '{inside}'"
    return spot.at, what, f"put {mark} at the text's end alone, and write {mark * 2} within"


def _meant_inside(spot: Spot, start: int, end: int, mark: str) -> str:
    """Return the text that was meant between quotes, which go on over a mark within it."""
    rest = spot.text[start + 1 : line_end(spot.text, end)].rstrip()
    if "{" in spot.text[line_start(spot.text, start) : start]:
        # Between braces it ends before the next key, or before the brace.
        last = re.search(rf"{mark}(?=\s*(?:,\s*\w+\s*:|[}}\]]))", rest)
        if last is not None:
            return rest[: last.start()]
    whole = rest.rstrip("}],").rstrip()
    return whole.removesuffix(mark) if whole.endswith(mark) else mark + whole


def _first_sign(spot: Spot) -> Found | None:
    """A text that begins with a sign that means something in YAML."""
    at = spot.opened if "alias" in spot.context or "anchor" in spot.context else spot.at
    is_one = at != spot.at or "start any token" in spot.problem or "tag" in spot.context
    block = "block scalar" in spot.context
    at = spot.opened if block or "tag" in spot.context else at
    if not (is_one or block or (spot.here == "," and "node" in spot.context)):
        return None
    sign = spot.text[at : at + 1]
    what = f"a text cannot begin with {sign} unless it stands in quotes"
    line = spot.text[line_start(spot.text, at) : line_end(spot.text, at)]
    key = re.search(r"(\w+):\s+$", line[: spot.column(at)])
    rest = line[spot.column(at) :]
    if "{" in line or "[" in line:
        rest = re.split(r"[,{}\[\]]", rest)[0]
    return at, what, f"write {quoted(key[1], rest)}" if key else "put the text in quotes"


def _dash(spot: Spot) -> Found | None:
    if "sequence entries" in spot.problem and spot.line(spot.at)[: spot.column(spot.at)].strip():
        return (
            spot.at,
            "a dash stands behind a colon",
            ("begin the entry on the next line, further in; or put the text in quotes"),
        )
    return None


def _second_colon(spot: Spot) -> Found | None:
    if spot.here != ":" or "mapping values" not in spot.problem:
        return None
    line, column = spot.line(spot.at), spot.column(spot.at)
    match = _KEYED.match(line)
    if match is None or match.start("value") > column:
        return None
    hint = f"put the text in quotes because of the colon: {quoted(match['key'], match['value'])}"
    return spot.at, "a second colon stands in one line", hint


def _no_colon(spot: Spot) -> Found | None:
    """A line that is to be a key with its value, and has no colon and space."""
    if "expected ':'" in spot.problem:
        at = spot.opened
    elif "mapping values" in spot.problem and spot.above(spot.at):
        at = spot.above(spot.at)[0][0]
        if re.search(r":(\s|$)", spot.line(at)):
            return None
    else:
        return None
    line = spot.line(at)
    words = line[len(_ENTRY.match(line)[0]) :].rstrip()  # type: ignore[index]
    at = line_start(spot.text, at) + line.index(words)
    if "\uff1a" in words:
        hint = f"write {words.replace(chr(0xFF1A), ': ', 1)[:60]}"
        return at + words.index("\uff1a"), "this is a colon of another kind", hint
    if match := re.match(r"(\w+):(\S.*)", words):
        hint = f"write {match[1]}: {match[2]}"
        return at, "no space stands behind the colon", hint
    match = re.match(r"([a-z_]+)(?:\s*=\s*|\s+)(.+)", words)
    if match and ":" not in words:
        hint = f"write {match[1]}: {match[2]}"
        hint += "; or, if it goes on with the text above, put all of that in quotes on one line"
        return at, "no colon stands behind the key", hint
    if re.fullmatch(r"\w+", words):
        return at, "no colon stands behind this word", f"write {words}:"
    return at, "no colon stands in this line", "write a key, a colon, a space and a value"


def _indent(spot: Spot) -> Found | None:
    """A line that begins in another column than those it belongs to."""
    line = spot.line(spot.at)
    mine, has_dash = len(line) - len(line.lstrip(" ")), line.lstrip().startswith("-")
    start = line_start(spot.text, spot.at)
    keys: list[int] = []
    dashes: list[int] = []
    least = 1_000_000
    for _, other in spot.above(spot.at):
        first = len(other) - len(other.lstrip(" "))
        if first >= least:
            continue
        if other.lstrip().startswith("-"):
            dashes.append(first)
            keys.append(len(_ENTRY.match(other)[0]))  # type: ignore[index]
        else:
            keys.append(first)
        least = first
        if not first:
            break
    if not has_dash and mine in dashes and mine not in keys:
        what = "this line stands in the column of the dashes, without a dash"
        inner = min((key for key in keys if key > mine), default=mine + 2)
        hint = f"indent it by {inner} to go on with the entry above, or begin a new one"
        return start + mine, what, f"{hint}: - {line.strip()}"
    columns = dashes if has_dash else keys
    if not columns or mine in columns:
        return None
    near = min(columns, key=lambda column: abs(column - mine))
    what = f"this line is indented by {mine}, its neighbours by {near}"
    return start + mine, what, f"indent it by {near}"


def _mixed(spot: Spot) -> Found | None:
    """A dash among keys, or a key among dashes."""
    if "block" in spot.context and spot.line(spot.at).lstrip().startswith("-"):
        above = spot.above(spot.at)
        column = len(spot.line(spot.at)) - len(spot.line(spot.at).lstrip())
        if above and above[0][1][column:].startswith("{"):
            what = "no dash stands before this {, as before its neighbours"
            return above[0][0] + column, what, "write a dash and a space before it"
        hint = "take the dash out, or put it and what follows under a key of its own"
        if not spot.column(spot.at):
            hint = "write panels: on a line of its own above it, if a panel begins here"
        return spot.at, "a dash stands among keys", hint
    if "block collection" in spot.context:
        return spot.at, "a key stands among entries with dashes", "put a dash before it"
    return None


_LOOKS: tuple[Callable[[Spot], Found | None], ...] = (
    _tab,
    _two_versions,
    _odd_space,
    _quote,
    _behind_quote,
    _dash_sign,
    hidden_end,
    brace,
    closer,
    behind_brace,
    _first_sign,
    _dash,
    _second_colon,
    _no_colon,
    _indent,
    _mixed,
)
