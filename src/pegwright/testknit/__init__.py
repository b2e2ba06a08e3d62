"""The test knit: a form for those who try a pattern, what their answers teach, and errata."""
