"""What the rules of all field types have in common: how they refuse, and what pydantic asks.

Every refusal is a `PydanticCustomError` of type "board" whose context holds the words
`found`, `allowed` and `hint`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import PydanticCustomError, core_schema

__all__ = ["Absent", "Rule", "refuse", "shortened"]

_LONGEST_QUOTE = 80


class Absent(str):
    """Stands in for a text that is missing or at fault, so that the rest can be checked.

    It holds what was written, if anything was: nothing more is to be said of that.
    """


def refuse(found: str, allowed: str = "", hint: str = "") -> PydanticCustomError:
    """Return the error of a field that cannot mean what is written."""
    if not hint and re.search(r"\s//\s", found):
        hint = "a remark begins with #"
    if not hint and len(found) > 1 and found[-1] in ",;":
        hint = f"leave the {found[-1]} at the end out"
    context = {"found": shortened(found), "allowed": allowed, "hint": shortened(hint)}
    return PydanticCustomError("board", "{found}; {allowed}; {hint}", context)


def shortened(text: str) -> str:
    """Return a text as a message quotes it: its beginning, where it is very long.

    >>> shortened("7" * 500)
    '7777777777777777777777777777777777777777777777777777777777777777777777777777...'
    """
    return text if len(text) <= _LONGEST_QUOTE else f"{text[: _LONGEST_QUOTE - 4]}..."


class Rule:
    """How written text becomes a field's value, and the JSON Schema of that text."""

    def __init__(
        self, convert: Callable[[str], object], allowed: str, schema: Mapping[str, Any]
    ) -> None:
        self.convert, self.allowed, self.schema = convert, allowed, schema

    def _validate(self, value: Any, inner: core_schema.ValidatorFunctionWrapHandler) -> Any:
        """Return what written text means; a stand-in stays one."""
        return value if isinstance(value, Absent) else inner(self._converted(value))

    def _converted(self, value: Any) -> Any:
        """Convert written text; pass on values that were made already."""
        if not isinstance(value, str | dict | list):
            return value
        if not isinstance(value, str):
            found = "a list" if isinstance(value, list) else "a mapping of keys"
            is_one = isinstance(value, list) and len(value) == 1 and isinstance(value[0], str)
            hint = f"write {value[0]}" if is_one else ""
            if isinstance(value, dict) and len(value) == 1 and self.allowed == "some words":
                key, rest = next(iter(value.items()))
                hint = f'put the text in quotes because of the colon: "{key}: {rest}"'
            raise refuse(f"{found} stands here", self.allowed, hint)
        return self.convert(str(value))

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_wrap_validator_function(self._validate, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return dict(self.schema)
