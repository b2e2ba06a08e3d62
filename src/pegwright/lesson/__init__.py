"""The lesson pack: what a maker who teaches needs to film a proved pattern."""
