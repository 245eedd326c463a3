"""Random boards as text: everything that people, editors and other programs do to a YAML file.

A text is made of pieces. A piece with a path belongs to the scalar at that path (a block
scalar has two: its indicator, and its lines); all others are spacing, comments and marks. A
test therefore knows which characters may change without asking the code that it checks.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from hypothesis import strategies as st

__all__ = ["BoardText", "Piece", "board_texts"]

Path = tuple[str | int, ...]

COMMENTS = (
    "",
    "# short",
    "#",
    "#\ttab in it\tand more",
    "# duration: 2s, {a: b} [c] 'd' \"e\" - f",
    "# κλειδί — ключ 🎬, è?",
    "# two # marks",
)
DURATIONS = ("2s", "60f", "2.5s", "2s12f", "1m4s", "3+08", "00:00:02:12", "0.5s")
SENTENCES = (
    "The tide is late",
    "Où est la clé",
    "Ποῦ εἶναι ἡ θάλασσα",
    "soft, low: then 🎬 louder",
    "it's a [sigh] of {his}",
    'He said "no" # twice',
    "- why? - because!",
    "100 % & more * less",
)


@dataclass(frozen=True)
class Piece:
    """A stretch of the text; `path` is that of the scalar it belongs to, `style` how it is."""

    text: str
    path: Path | None = None
    style: str = ""
    """plain, exact (quotes that writing keeps to), other (escapes, several lines) or body."""


@dataclass
class BoardText:
    """A board's pieces, what it means, and how it is coded."""

    content: dict[str, Any]
    pieces: list[Piece] = field(default_factory=list)
    mark: bytes = b""
    codec: str = "utf-8"

    @property
    def text(self) -> str:
        return "".join(piece.text for piece in self.pieces)

    @property
    def data(self) -> bytes:
        return self.mark + self.text.encode(self.codec)

    def scalars(self, *styles: str) -> list[Path]:
        """Return the paths of all scalars that are written in one of these styles."""
        found = [p.path for p in self.pieces if p.path is not None and p.style in styles]
        return list(dict.fromkeys(found))

    def kept(self, paths: Iterable[Path]) -> list[bytes]:
        """Return the stretches that must stay when these scalars change, mark and all.

        Between two of them lies what is written for a scalar, in the text's order; of a block
        scalar what lies between its indicator and its lines stays as well.
        """
        changed, seen, stretches = set(paths), set(), [""]
        for piece in self.pieces:
            if piece.path not in changed:
                stretches[-1] += piece.text
            elif piece.path not in seen:
                seen.add(piece.path)
                stretches.append("")
        coded = [stretch.encode(self.codec) for stretch in stretches]
        return [self.mark + coded[0], *coded[1:]]

    def mappings(self) -> list[Path]:
        """Return the paths of all mappings."""
        return list(_mappings(self.content, ()))

    def mean(self, path: Path, value: str) -> None:
        """Note what a text reads as: a block scalar brings its line breaks along."""
        self.value(path[:-1])[path[-1]] = value

    def value(self, path: Path) -> Any:
        at: Any = self.content
        for key in path:
            at = at[key]
        return at


def _mappings(value: Any, path: Path) -> Iterator[Path]:
    if isinstance(value, dict):
        yield path
        for key, inner in value.items():
            yield from _mappings(inner, (*path, key))
    elif isinstance(value, list):
        for number, inner in enumerate(value):
            yield from _mappings(inner, (*path, number))


@st.composite
def contents(draw: st.DrawFn) -> dict[str, Any]:
    """What a board says; every value is a text."""
    words = st.sampled_from(SENTENCES)
    duration = st.sampled_from(DURATIONS)
    setups = ["quay-day", "sea wall", "κύμα"][: draw(st.integers(1, 3))]

    def some(**keys: Any) -> dict[str, Any]:
        return {key: draw(value) for key, value in keys.items() if draw(st.booleans())}

    def panel(number: int) -> dict[str, Any]:
        entry: dict[str, Any] = {"photo": f"photos/quay_{number}.jpg"}
        entry |= {"shot": f"{number}0"} if number == 1 or draw(st.booleans()) else {}
        size = st.sampled_from(["WS", "MS OTS", "CU"])
        entry |= some(size=size, duration=duration, shoot_on=st.sampled_from("12"), note=words)
        entry |= (
            {"crop": some(left=st.just("0.1"), top=st.just("0"))} if draw(st.booleans()) else {}
        )
        if draw(st.booleans()):
            line = {"who": "Odd", "line": draw(words), **some(at=duration, level=st.just("-3"))}
            entry["dialogue"] = [dict(line) for _ in range(draw(st.integers(1, 2)))]
        keys = draw(st.permutations(list(entry)))
        return {key: entry[key] for key in keys}

    board: dict[str, Any] = {"board": "1"}
    board |= some(title=words, rate=st.sampled_from(["24", "23.976"]), handles=duration)
    if draw(st.booleans()):
        board["picture"] = {"size": "160x90", **some(fit=st.just("cover"))}
    board["setups"] = {
        name: {"place": draw(words), "lights": draw(st.lists(words, max_size=2))} for name in setups
    }
    board["panels"] = [panel(number) for number in range(1, draw(st.integers(1, 3)) + 1)]
    return board


@st.composite
def board_texts(draw: st.DrawFn) -> BoardText:
    """A whole board file."""
    board = BoardText(draw(contents()))
    _Typist(draw, board).type()
    if draw(st.booleans()) and board.pieces[-1].text in ("\n", "\r\n"):
        _leave_out_last_break(board)
    codings = [(b"", "utf-8")] * 5 + [(b"\xef\xbb\xbf", "utf-8"), (b"\xff\xfe", "utf-16-le")]
    board.mark, board.codec = draw(st.sampled_from(codings))
    return board


def _leave_out_last_break(board: BoardText) -> None:
    """Let the file end without a line break, of which a block scalar at its end loses one."""
    board.pieces.pop()
    body = next((p for p in reversed(board.pieces) if p.path is not None), None)
    if body is None or body.path is None or body.style != "body":
        return
    header = next(piece.text for piece in board.pieces if piece.path == body.path)
    follows = "".join(piece.text for piece in board.pieces[board.pieces.index(body) + 1 :])
    if ("+" in header and not follows.strip()) or not follows:
        board.mean(body.path, board.value(body.path).removesuffix("\n"))


class _Typist:
    """Types one board, each thing in a way of its own."""

    def __init__(self, draw: st.DrawFn, board: BoardText) -> None:
        self.draw, self.board = draw, board
        breaks = draw(st.sampled_from([["\n"], ["\n"], ["\r\n"], ["\n", "\r\n"]]))
        self.breaks = st.sampled_from(breaks)
        # PyYAML's reader in Python stumbles over tabs between things; the one in C does not.
        self.gaps = draw(st.sampled_from([(" ", "   "), (" ", "   ", "\t", " \t ")]))

    def one(self, *ways: str) -> str:
        return self.draw(st.sampled_from(ways))

    def put(self, text: str, path: Path | None = None, style: str = "") -> None:
        if text or path is not None:
            self.board.pieces.append(Piece(text, path, style))

    def type(self) -> None:
        self.spare_lines(0)
        if self.one("", "---"):
            self.put("---")
            self.end_line()
        self.mapping(self.board.content, (), self.draw(st.sampled_from([0, 0, 0, 2])))

    def end_line(self, *gaps: str) -> None:
        """End a line, perhaps with spaces or a comment after a space or a tab."""
        comment = self.one(*COMMENTS)
        self.put(self.one(*(gaps or self.gaps)) + comment if comment else self.one("", "", " "))
        self.put(self.draw(self.breaks))

    def spare_lines(self, most_indent: int) -> None:
        """Type empty lines and lines of comment between two others, at most so far in."""
        for _ in range(self.draw(st.sampled_from([0, 0, 0, 1, 2]))):
            if comment := self.one(*COMMENTS):
                self.put(" " * self.draw(st.integers(0, most_indent)) + comment)
            self.put(self.draw(self.breaks))

    def mapping(self, value: dict[str, Any], path: Path, indent: int, first: str = "") -> None:
        """Type a block mapping; `first` stands before its first key instead of the indent."""
        for number, (key, inner) in enumerate(value.items()):
            self.put(first if first and not number else " " * indent)
            self.put(self.key(key) + ":" if self.one("plain", "q") == "plain" else f'"{key}":')
            self.value(inner, (*path, key), indent)

    def key(self, key: str) -> str:
        return self.one(key, key, f"'{key}'", f"{key} ")

    def value(self, value: Any, path: Path, indent: int) -> None:
        """Type what follows a key in a block mapping, to the end of its last line."""
        deeper = indent + self.draw(st.integers(1, 4))
        if isinstance(value, str):
            self.put(self.one(" ", *self.gaps))
            self.scalar(value, path, indent)
        elif not value or self.one("block", "flow") == "flow":
            self.put(" ")
            self.flow(value, path, deeper)
            self.end_line()
            self.spare_lines(indent)
        elif isinstance(value, dict):
            self.end_line()
            self.spare_lines(deeper)
            self.mapping(value, path, deeper)
        else:
            self.end_line()
            self.spare_lines(deeper)
            self.sequence(value, path, indent + self.draw(st.integers(0, 3)))

    def sequence(self, value: list[Any], path: Path, indent: int) -> None:
        for number, inner in enumerate(value):
            gap = self.one(" ", " ", "   ")
            self.put(" " * indent + "-" + gap)
            here = (*path, number)
            if isinstance(inner, str):
                self.scalar(inner, here, indent)
            elif not inner or self.one("block", "block", "flow") == "flow":
                self.flow(inner, here, indent + 1)
                self.end_line()
                self.spare_lines(indent)
            elif self.one("", "", "below"):
                self.end_line(" ")
                deeper = indent + self.draw(st.integers(1, 3))
                self.spare_lines(deeper)
                self.mapping(inner, here, deeper)
            else:
                # An empty piece: the first key follows the dash.
                column = indent + 1 + len(gap)
                self.board.pieces.pop()
                self.mapping(inner, here, column, " " * indent + "-" + gap)

    def scalar(self, value: str, path: Path, indent: int) -> None:
        """Type a scalar in block style, and the rest of its last line."""
        ways = ["quoted", "quoted", "over lines", "block"]
        ways += ["plain"] * 4 if _is_plain(value) else []
        way = self.one(*ways)
        if way == "block":
            self.block(value, path, indent)
            return
        if way == "plain":
            self.put(value, path, "plain")
        elif way == "quoted":
            self.quoted(value, path)
        else:
            self.over_lines(value, path, " " * (indent + self.draw(st.integers(1, 3))))
        self.end_line()
        self.spare_lines(indent + 4)

    def block(self, value: str, path: Path, indent: int) -> None:
        """Type a literal or folded text without a break at its end."""
        # Only words may end in line breaks.
        more = ("|", "|+", ">+") if value in SENTENCES else ()
        header = self.one("|-", ">-", "|-", *more)
        self.put(header, path, "other")
        comment = self.one(*COMMENTS)
        self.put(" " + comment if comment else "")
        inner = " " * (indent + self.draw(st.integers(1, 3)))
        self.put(self.draw(self.breaks) + inner + value, path, "body")
        self.put(self.draw(self.breaks))
        ending = "" if "-" in header else "\n"
        if "+" in header:
            for _ in range(self.draw(st.integers(0, 2))):
                self.put(self.draw(self.breaks))
                ending += "\n"
        elif self.one("", "spare"):
            self.spare_lines(indent)
        self.board.mean(path, value + ending)

    def quoted(self, value: str, path: Path) -> None:
        if self.one("single", "double") == "single":
            self.put("'" + value.replace("'", "''") + "'", path, "exact")
            return
        escaped = value.replace("\\", "\\\\").replace('"', '\\"')
        if self.one("", "escape") and value:
            first = f"\\U{ord(value[0]):08x}"
            self.put(
                f'"{first}{escaped[1 if value[0] not in chr(92) + chr(34) else 2 :]}"',
                path,
                "other",
            )
        else:
            self.put(f'"{escaped}"', path, "exact")

    def over_lines(self, value: str, path: Path, indent: str) -> None:
        """Type a scalar with each space as a line break: plain where it may be, else quoted."""
        newline = self.draw(self.breaks) + indent
        if _is_plain(value):
            self.put(value.replace(" ", newline), path, "other")
        else:
            words = value.replace("'", "''").replace(" ", newline)
            self.put(f"'{words}'", path, "other")

    def flow(self, value: Any, path: Path, indent: int) -> None:
        """Type a list, mapping or scalar between brackets, in one line or many."""
        if isinstance(value, str):
            can_be_plain = _is_plain(value) and not set(",[]{}?") & set(value)
            if can_be_plain and self.one("", "plain"):
                self.put(value, path, "plain")
            elif self.one("", "", "over"):
                self.quoted_over_lines(value, path, indent)
            else:
                self.quoted(value, path)
            return
        opening, closing = "{}" if isinstance(value, dict) else "[]"
        by_lines = bool(value) and self.one("", "", "lines") != ""
        self.put(opening + self.one("", "", " "))
        items = list(value.items() if isinstance(value, dict) else enumerate(value))
        for number, (key, inner) in enumerate(items):
            if by_lines:
                self.end_line()
                self.spare_lines(indent)
                self.put(" " * (indent + 1))
            if isinstance(value, dict):
                self.put(self.one(key, key, f"'{key}'", f'"{key}"') + ":" + self.one(" ", "  "))
            self.flow(inner, (*path, key), indent + 2)
            is_last = number == len(items) - 1
            if not is_last or self.one("", "", "trailing"):
                self.put(self.one("", "", " ") + ",")
                self.put("" if by_lines else self.one(" ", " ", "", "  "))
        if by_lines and self.one("", "own line"):
            self.end_line()
            self.put(" " * indent)
        self.put(self.one("", "", " ") + closing)

    def quoted_over_lines(self, value: str, path: Path, indent: int) -> None:
        newline = self.draw(self.breaks) + " " * indent
        words = value.replace("'", "''").replace(" ", newline)
        self.put(f"'{words}'", path, "other")


def _is_plain(value: str) -> bool:
    """Whether one of the texts above may stand without quotes outside brackets."""
    return not (": " in value or " #" in value or value[0] in "-'\"[{&*")
