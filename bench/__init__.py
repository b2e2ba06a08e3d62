"""Measurements of speed and memory, each held against a limit.

A module here offers ``rows()``; ``python -m bench`` runs them all.
"""
