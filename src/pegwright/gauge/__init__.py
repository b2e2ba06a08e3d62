"""Gauge: swatches, prediction where there is none, and sizes from counts and back."""
