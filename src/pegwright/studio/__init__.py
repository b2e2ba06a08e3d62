"""The studio: the local web app, a thin face over the conductor and the library."""
