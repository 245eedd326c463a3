"""What is wrong with a text between braces or brackets that is no YAML, and behind them."""

from __future__ import annotations

import re
from dataclasses import replace

from animatic.board.text.textlines import BREAK, line_end, line_start
from animatic.board.text.yamlspot import Found, Spot, quoted

__all__ = ["behind_brace", "brace", "closer", "hidden_end"]

_CLOSERS = {"{": "}", "[": "]"}


def hidden_end(spot: Spot) -> Found | None:
    """A # in a text between braces: what is behind it is a remark, and the brace with it."""
    if "flow" not in spot.context:
        return None
    start = spot.opened
    while start < spot.at:
        end = line_end(spot.text, start)
        line = spot.text[start:end]
        match = re.match(r"((?:\"[^\"]*\"|'[^']*'|[^\"'#]|(?<=\w)['\"#])*?)(?<=\s)#", line)
        if match and re.search(r"[}\]]", line[match.end() :]):
            what = "from the # on, this line is a remark, and the closing brace with it"
            value = re.search(r"([\w]+):\s+([^:{}\[\]]*)$", match[1])
            rest = re.split(r"\s*[}\]]|,\s*[a-z_]+:\s", line[match.end() - 1 :])[0]
            hint = "put the text in quotes because of the #"
            hint += f": {quoted(value[1], value[2] + rest)}" if value else ""
            return start + match.end() - 1, what, hint
        after = BREAK.match(spot.text, end)
        start = after.end() if after else len(spot.text)
    return None


def brace(spot: Spot) -> Found | None:
    """A brace or bracket without its other one, and texts that need quotes between them."""
    mark = spot.text[spot.opened : spot.opened + 1]
    if "flow" not in spot.context or mark not in _CLOSERS:
        return None
    if spot.here == "," and "node content" in spot.problem:
        return spot.at, "a comma with nothing before it", "leave one comma out"
    closer = _CLOSERS[mark]
    if spot.here and spot.here in "}]":
        return spot.at, f"the {mark} opened before is closed by {spot.here}", f"write {closer} here"
    if not spot.here or BREAK.search(spot.text, spot.opened, spot.at):
        what = f"the {mark} opened here has no {closer}"
        return spot.opened, what, f"put {closer} at its end"
    if spot.here == ":":
        before = spot.text[spot.opened + 1 : spot.at]
        rest = re.split(r"[,{}\[\]]", spot.line(spot.at)[spot.column(spot.at) :])[0]
        value = re.search(r"(\w+):\s+([^,{}\[\]]*)$", before)
        hint = "put the text in quotes because of the colon"
        hint += f": {quoted(value[1], value[2] + rest)}" if value else ""
        return spot.at, "a second colon stands in one text", hint
    if found := _sign_in_front(spot):
        return found
    what = "this does not belong to the text before it"
    return spot.at, what, "put a comma before it, or the whole text in quotes"


def _sign_in_front(spot: Spot) -> Found | None:
    """A text that begins with a sign that opens something else, as `[sigh] Late.`"""
    line, column = spot.line(spot.at), spot.column(spot.at)
    match = re.search(r"(\w+):\s+([\[{][^\[\]{}]*[\]}]\s*)?$", line[:column])
    if match is None or not (match[2] or spot.here in ("-", "?")):
        return None
    rest = re.split(r"[,{}\[\]]", line[column:])[0] if spot.context else line[column:]
    text = (match[2] or "") + rest
    what = f"a text cannot begin with {text[0]} unless it stands in quotes"
    at = spot.at - len(match[2] or "")
    return at, what, f"write {quoted(match[1], text)}"


def closer(spot: Spot) -> Found | None:
    """A closing brace or bracket that nothing opened."""
    if spot.here and spot.here in "}]":
        return spot.at, f"this {spot.here} closes nothing", "take it out, or put in what it closes"
    return None


def behind_brace(spot: Spot) -> Found | None:
    """Something behind the brace or bracket that ends a value."""
    line = spot.line(spot.at)
    if match := re.match(r"([ ]*(?:-[ ]+)*)(\w+)(:|[ ]+)([\[{].*)", line):
        start = line_start(spot.text, spot.at) + match.start(2)
        what = "no space stands behind the colon" if match[3] == ":" else "no colon stands here"
        return start, what, f"write {match[2]}: {match[4][:60]}"
    if spot.here and spot.here in ",;":
        return spot.at, f"a {spot.here} stands behind the value", "take it out"
    before = line[: spot.column(spot.at)].rstrip()
    is_text = before.endswith(("}", "]")) and ":" not in line[spot.column(spot.at) :]
    if is_text and (found := _sign_in_front(replace(spot, context=""))):
        return found
    if not before.endswith(("}", "]")):
        return None
    what = f"this stands behind the {before[-1]} that ends the value"
    return spot.at, what, "take it out, or begin a new line with it"
