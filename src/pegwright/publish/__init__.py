"""Exporters: each a pure function from a finished pattern to bytes.

Nothing is imported here, so that naming the package costs nothing; take what is wanted from
``publish.pdf``, ``publish.page``, ``publish.figures`` or ``publish.report``.
"""
