"""The maker's own looms, yarns, swatches, people, designs and makings in progress, on SQLite."""
