"""Boards and rings, the exact taut path of yarn round pegs, wrap tests and spacers."""
