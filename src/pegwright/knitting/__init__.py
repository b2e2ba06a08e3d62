"""Wraps, operations, the simulated loom, the fabric, its faults and the yarn that it draws."""
