"""Refit: a design worked out anew for another board, yarn or body, and proved there."""
