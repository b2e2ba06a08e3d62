"""Pegwright: design, prove, write up and teach knitting done on peg boards."""

__version__ = "0.1.0"
