"""Designs: on the desk, as text, as a form, and what they come to."""
