"""What follows from runs: yarn needed, where it runs out, how long the work takes."""
