"""The board as text: YAML with the place of every value, and what is wrong with it."""
