"""Texts that some YAML reader, or some version of YAML, could take for something else."""

from __future__ import annotations

from hypothesis import strategies as st

__all__ = ["NASTY", "nasty"]

NASTY = (
    *(
        "",
        " ",
        "~",
        "null",
        "yes",
        "no",
        "on",
        "012",
        "1:30",
        "2.10",
        "-3",
        "+4",
        "1e3",
        ".5",
        "-.inf",
    ),
    *(
        "-",
        "- a",
        "-a",
        "?",
        "? a",
        "why?",
        ":",
        "a:",
        "a: b",
        "a :b",
        "a:b",
        "a://b",
        "::",
        "<<",
        "=",
    ),
    *("#", "a #b", "a# b", " a", "a ", "a  b", "\ta", "a\tb", "a\nb", "a\n", "a\r\nb", "\n"),
    *(
        "{",
        "}",
        "{a: b}",
        "[",
        "]",
        "[a, b]",
        ",",
        "a,b",
        "a, b",
        "&a",
        "*a",
        "!a",
        "|",
        "> a",
        "%a",
    ),
    *(
        "@a",
        "`a`",
        "'",
        "''",
        "it's",
        '"',
        '"a"',
        "a'b\"c",
        "\\",
        "\\n",
        "C:\\x",
        "---",
        "...",
        "--- a",
    ),
    *(
        "é",
        "Ποῦ;",
        "🎬",
        "a\u00a0b",
        "\u00a0",
        "a\x85b",
        "a\u2028b",
        "\u2029",
        "\ufeffa",
        "a\ufeff",
        "\x07",
    ),
    *("\x1b[31m", "a\u200db", "\u202e", "x" * 300, "word " * 60 + "end", "sound/lines/odd_01.wav"),
)


def nasty() -> st.SearchStrategy[str]:
    """A text to write, of the kind that has to be quoted right."""
    bits = st.sampled_from(
        [*" :#-?,[]{}'\"\\\n\t&*!|>%@`~.=", "a", "é", "🎬", "0", "\u00a0", "\u2028"]
    )
    return (
        st.sampled_from(NASTY)
        | st.lists(bits, max_size=8).map("".join)
        | st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
    )
