"""Edits in place: what changes in a board's text, and what stays byte for byte."""
