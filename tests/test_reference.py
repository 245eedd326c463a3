"""The generated references in docs/ say what the code does now."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
import yaml

from animatic.reference import board_schema, references

DOCS = Path(__file__).parent.parent / "docs"
DEMO = Path(__file__).parent.parent / "demo_board"


@pytest.mark.parametrize("name", ["board.md", "board.schema.json", "commands.md"])
def test_generated_pages_are_up_to_date(name: str) -> None:
    written = (DOCS / name).read_text(encoding="utf-8")
    assert written == references()[name], "run: python -m animatic.reference docs"


def test_schema_accepts_the_demo_board_and_refuses_an_unknown_key() -> None:
    schema = json.loads(board_schema())
    jsonschema.Draft202012Validator.check_schema(schema)
    # Editors read plain YAML: PyYAML's own loader stands for them here. It knows dates, which
    # YAML 1.2 and JSON do not: there they are text.
    read = yaml.safe_load((DEMO / "board.yaml").read_text(encoding="utf-8"))
    board = json.loads(json.dumps(read, default=str))
    validator = jsonschema.Draft202012Validator(schema)
    assert [error.message for error in validator.iter_errors(board)] == []
    board["pictures"] = {}
    (error,) = validator.iter_errors(board)
    assert "pictures" in error.message
