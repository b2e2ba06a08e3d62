"""Yarns: weight categories, counts, a yarn's length and mass, and how much of it is needed.

Takes lengths in metres and masses in grams, gives lengths, masses and balls with their intervals.
Pure: nothing here reads a file.
"""
