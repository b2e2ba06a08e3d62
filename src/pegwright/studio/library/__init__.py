"""The maker's own things: lists, forms, weights, photos, archives and backups."""
