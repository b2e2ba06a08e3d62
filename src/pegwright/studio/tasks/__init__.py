"""What is done with one design beside changing it, a page each."""
