"""Sizes: published body tables, people and their measurements, and ease."""
