"""Cautions that follow from a design, and what is refused."""
