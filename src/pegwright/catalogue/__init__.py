"""The catalogue: one design on many boards with many yarns, for a publisher's whole list."""
