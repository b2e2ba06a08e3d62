"""One module a garment: measurements in; pieces, script and assembly out."""
