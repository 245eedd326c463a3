"""Names of files in words and in a board: whatever bytes they are made of."""

from __future__ import annotations

import os

__all__ = ["is_writable", "quoted", "readable"]

_REFUSED = "\u2028\u2029\\"
"""Line ends of Unicode, and the sign that parts folders on one system only."""


def is_writable(name: str) -> bool:
    """Whether a board can hold a file's name: it is UTF-8, on one line, without control codes.

    >>> is_writable("quay 1.jpg"), is_writable("quay\\n1.jpg"), is_writable("caf\\udce9.jpg")
    (True, False, False)
    """
    return not any(
        sign < " " or "\x7f" <= sign < "\xa0" or sign in _REFUSED or "\ud800" <= sign <= "\udfff"
        for sign in name
    )


def readable(name: str) -> str:
    r"""Return a name, or a path, on one line; what cannot be shown stands as its number.

    >>> print(readable("caf\udce9\n1.jpg"))
    caf\xe9\n1.jpg
    """
    text = os.fsencode(name).decode("utf-8", "backslashreplace")
    return "".join(sign if sign.isprintable() else _numbered(sign) for sign in text)


def quoted(text: str) -> str:
    r"""Return a text as YAML; in quotes, so that no name can mean anything else.

    What cannot be seen is escaped (YAML 1.2.2, 5.7), so that the line can be read and edited.

    >>> print(quoted("quay_1.jpg"), quoted('a "b"\u200b.jpg'))
    quay_1.jpg "a \"b\"\u200b.jpg"
    """
    if (
        text.lower() != "null"
        and text.replace("_", "").replace("-", "").replace(".", "").isalnum()
        and text.isascii()
    ):
        return text
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{"".join(c if c.isprintable() else _in_yaml(c) for c in escaped)}"'


def _numbered(sign: str) -> str:
    return sign.encode("unicode_escape").decode("ascii")


def _in_yaml(sign: str) -> str:
    return f"\\u{ord(sign):04x}" if ord(sign) < 0x10000 else f"\\U{ord(sign):08x}"
