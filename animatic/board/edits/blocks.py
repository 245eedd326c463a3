"""The lines of each panel in a board's text, so that panels can be moved as they stand."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from animatic.board.edits.edit import decoded
from animatic.board.edits.extents import BREAK, Extent, extents, line_end, line_start
from animatic.board.text.yamltree import parse
from animatic.errors import BoardError, Place, Problem

__all__ = ["Block", "Blocks", "joined", "parted"]

_COMMENT = re.compile("( *)#")
_LAST_BREAK = re.compile("(?:\r\n|[\r\n\x85\u2028\u2029])\\Z")
_KEY = "parked:"
_KEY_LINE = "^{}parked:[ \\t]*(#[^\r\n]*(?:\r\n|[\r\n]))?(?:(?<=[\r\n])|\r\n|[\r\n])"
"""The key's line in its column; its comment, if it has one, stays as a line of its own."""
_WAS = "# arranged, was: "
_WAS_LINE = re.compile(rf"(?:\A|(?<=[\r\n\x85\u2028\u2029])){_WAS}")


@dataclass(slots=True)
class Block:
    """The whole lines of one panel: those above its dash, and from the dash on."""

    above: str
    body: str
    column: int

    @property
    def text(self) -> str:
        """All its lines."""
        return self.above + self.body

    @property
    def line_above(self) -> str:
        """The line right above the dash, without its break; empty where there is none."""
        return self._lines()[-1][0] if self.above else ""

    def drop_line_above(self) -> None:
        """Take out the line right above the dash."""
        self.above = "".join(line + end for line, end in self._lines()[:-1])

    def put_line_above(self, words: str) -> None:
        """Put a line right above the dash, in its column."""
        found = BREAK.search(self.text)
        self.above += " " * self.column + words + (found[0] if found else "\n")

    def _lines(self) -> list[tuple[str, str]]:
        lines, at = [], 0
        while at < len(self.above):
            end = line_end(self.above, at)
            after = BREAK.match(self.above, end)
            stop = after.end() if after else end
            lines.append((self.above[at:end], self.above[end:stop]))
            at = stop
        return lines


@dataclass(slots=True)
class Blocks:
    """A board's text in pieces: what is put together again by `whole` is all of it.

    The two lists stand in the order of the text, `between` lies between them.
    """

    mark: bytes
    codec: str
    head: str
    panels: list[Block]
    between: str
    parked: list[Block]
    tail: str
    parked_first: bool = False

    def of(self, card: tuple[str, int]) -> Block:
        """Return a panel's block by its list and its index there."""
        return (self.parked if card[0] == "parked" else self.panels)[card[1]]

    def whole(self) -> bytes:
        """Return the board's bytes."""
        return self.mark + self.whole_text().encode(self.codec)

    def whole_text(self) -> str:
        """Return the board's text, without its byte order mark."""
        first, second = self.panels, self.parked
        if self.parked_first:
            first, second = second, first
        pieces = [self.head, *(b.text for b in first), self.between, *(b.text for b in second)]
        return "".join([*pieces, self.tail])


def parted(data: bytes, file: str) -> Blocks:
    """Return a board's text in pieces; BoardError where its panels are no lines of their own."""
    tree = parse(data, file)
    mark, codec, text = decoded(data, file)
    found = extents(text)
    lists = {}
    for key in ("panels", "parked"):
        extent = found.get((key,))
        if extent is None or (key == "parked" and not tree.root[key]):
            continue
        if extent.style or extent.kind != "sequence":
            words = "these panels stand between brackets, so they cannot be moved line by line"
            hint = "write each panel on lines of its own, with a dash before it"
            raise BoardError([Problem(tree.key_place((key,)), key, words, hint=hint)])
        count = len(tree.root[key])
        items = [found[key, i] for i in range(count)]
        lists[key] = _blocks(text, _key_end(text, found[()], key), items, extent.column)
    start, blocks, end = lists["panels"]
    if "parked" not in lists:
        return Blocks(mark, codec, text[:start], blocks, "", [], text[end:])
    start2, blocks2, end2 = lists["parked"]
    if start2 < start:
        between = text[end2:start]
        return Blocks(mark, codec, text[:start2], blocks, between, blocks2, text[end:], True)
    return Blocks(mark, codec, text[:start], blocks, text[end:start2], blocks2, text[end2:])


def _key_end(text: str, root: Extent, key: str) -> int:
    entry = next(entry for entry in root.entries if entry.key == key)
    return _after_line(text, entry.end)


def _after_line(text: str, at: int) -> int:
    end = line_end(text, at)
    found = BREAK.match(text, end)
    return found.end() if found else end


def _blocks(
    text: str, at: int, items: Sequence[Extent], column: int
) -> tuple[int, list[Block], int]:
    """Return where the first panel's lines start, the blocks, and where the last ones end."""
    at = start = _past_comments(text, at, column)
    blocks = []
    for item in items:
        dash = _dash(text, at, item.start, column)
        end = _past_comments(text, _after_line(text, item.end), column)
        blocks.append(Block(text[at:dash], text[dash:end], column))
        at = end
    return start, blocks, at


def _past_comments(text: str, at: int, column: int) -> int:
    """Return where the lines of comment that stand further in than `column` end."""
    while (comment := _COMMENT.match(text, at)) and len(comment[1]) > column:
        at = _after_line(text, at)
    return at


def _dash(text: str, at: int, item: int, column: int) -> int:
    """Return where the line of an item's dash starts: it alone is neither comment nor empty."""
    while at < item:
        if text[at : at + column + 1] == " " * column + "-":
            return at
        at = _after_line(text, at)
    return line_start(text, item)


def joined(blocks: Blocks, panels: Sequence[Block], parked: Sequence[Block], file: str) -> bytes:
    """Return the board's bytes with these blocks as its panels and its parked panels."""
    columns = {block.column for block in (*panels, *parked)}
    if len(columns) > 1:
        words = "the dashes under parked stand in another column than those under panels"
        hint = "indent both lists alike, then arrange again"
        raise BoardError([Problem(Place(file, 1, 1), "parked", words, hint=hint)])
    made = Blocks(
        blocks.mark,
        blocks.codec,
        blocks.head,
        list(panels),
        blocks.between,
        list(parked),
        blocks.tail,
        blocks.parked_first,
    )
    _settle_key(blocks, made)
    _settle_end(blocks, made)
    return made.whole()


def _settle_key(old: Blocks, new: Blocks) -> None:
    """Write the key `parked`, or take it out, where its list begins or comes to an end."""
    if bool(old.parked) == bool(new.parked):
        return
    margin = " " * extents(old.whole_text())[()].column
    if new.parked:
        _put_empty_list_by(old, new)
        new.between = margin + _KEY + _a_break(old)
        return
    key_line = re.compile(_KEY_LINE.format(margin), re.MULTILINE)
    if new.parked_first:
        new.head = key_line.sub(r"\1", new.head)
    else:
        new.between = key_line.sub(r"\1", new.between)
    new.head, new.between, new.tail = (
        _WAS_LINE.sub("", words) for words in (new.head, new.between, new.tail)
    )


def _put_empty_list_by(old: Blocks, new: Blocks) -> None:
    """Let `parked: []` be a comment for as long as there is a list with panels."""
    text = old.whole_text()
    entry = next((entry for entry in extents(text)[()].entries if entry.key == "parked"), None)
    if entry is None:
        return
    first, last = line_start(text, entry.start), line_end(text, entry.value.end)
    words = _WAS + BREAK.sub(lambda found: found[0] + _WAS, text[first:last])
    if first < len(old.head):
        new.head = text[:first] + words + text[last : len(old.head)]
    else:
        new.tail = text[len(text) - len(old.tail) : first] + words + text[last:]


def _a_break(blocks: Blocks) -> str:
    found = BREAK.search(blocks.head) or BREAK.search("".join(b.text for b in blocks.panels))
    return found[0] if found else "\n"


def _settle_end(old: Blocks, new: Blocks) -> None:
    """Where the text ended without a line break, let it end so again; no break is lost."""
    was, text = _last(old), old.whole_text()
    if was is None or _LAST_BREAK.search(text):
        return
    now = _last(new)
    if now is was:
        return
    words = new.between if now is None else now.body
    found = _LAST_BREAK.search(words)
    kept = words[: found.start()] if found else words
    if now is None:
        new.between = kept
    else:
        now.body = kept
    was.body += found[0] if found else _a_break(old)


def _last(blocks: Blocks) -> Block | None:
    """Return the block that ends the text; None where something else does."""
    if blocks.tail:
        return None
    if blocks.parked and not blocks.parked_first:
        return blocks.parked[-1]
    return None if blocks.between and not blocks.parked_first else blocks.panels[-1]
