"""What is done with one board or one yarn of the library, a page each."""
