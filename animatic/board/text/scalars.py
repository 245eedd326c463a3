"""Writing one value as a YAML scalar that every YAML reader takes for the same text."""

from __future__ import annotations

import re
import unicodedata

from animatic.errors import UsageError

__all__ = ["scalar"]

# libyaml and the YAML reader in Python differ at the edges (`{a: why?}` is read by the first
# alone), so a value stands without quotes only where nobody could take it for anything else.
_PLAIN_START = re.compile(r"[^\W_]|[_(/$£€+]|\.(?=[/\d])|[-~](?=\d)")
_NEVER_PLAIN = re.compile(r":(?![^\W_]|/)| #|[^\S ]|^\s|\s$")
_NOT_IN_FLOW = re.compile(r"[,\[\]{}?]")
_NULLS = frozenset({"null", "Null", "NULL"})
_ESCAPES = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r"}
_HIDDEN = frozenset({"Cc", "Cn", "Cs", "Zl", "Zp"})


def scalar(value: str, style: str = "", flow: bool = False) -> str:
    r"""Return `value` as YAML, on one line, so that it reads as exactly that text.

    `style` is the quotation mark to keep to, `"` or `'`; without one there are quotes only
    where they are needed. `flow` says that it stands between braces or brackets. UsageError
    where the value holds half a character, which no file can.

    >>> scalar("60f"), scalar("60f", '"'), scalar("60f", "'")
    ('60f', '"60f"', "'60f'")
    >>> print(scalar("tide: late"), scalar("soft, low"), scalar("soft, low", flow=True))
    "tide: late" soft, low "soft, low"
    >>> print(scalar('a "late" tide: now'), scalar("two\nlines"))
    'a "late" tide: now' "two\nlines"
    """
    if any(unicodedata.category(character) == "Cs" for character in value):
        raise UsageError(f"{value!a} holds half a character: type it anew")
    is_open = not any(map(_is_hidden, value))
    if style not in ("'", '"'):
        if is_open and _is_plain(value, flow):
            return value
        style = "'" if re.search(r'["\\]', value) else '"'
    if style == "'" and is_open:
        return "'" + value.replace("'", "''") + "'"
    return '"' + "".join(map(_escaped, value)) + '"'


def _is_plain(value: str, flow: bool) -> bool:
    return bool(
        _PLAIN_START.match(value)
        and value not in _NULLS
        and not _NEVER_PLAIN.search(value)
        and not (flow and _NOT_IN_FLOW.search(value))
    )


def _is_hidden(character: str) -> bool:
    """Whether a character does not show, breaks the line, or may not stand in YAML."""
    return character == "\ufeff" or unicodedata.category(character) in _HIDDEN


def _escaped(character: str) -> str:
    if character in _ESCAPES:
        return _ESCAPES[character]
    if not _is_hidden(character):
        return character
    code = ord(character)
    if code < 0x100:
        return f"\\x{code:02X}"
    return f"\\u{code:04X}" if code < 0x10000 else f"\\U{code:08X}"
