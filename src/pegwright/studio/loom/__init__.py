"""The loom view: a run played movement by movement."""
