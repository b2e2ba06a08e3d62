"""Design files: read, checked, written, explained by a schema; and the designs that are shipped."""
