"""Words in other tongues: sentences that remember how they were made, and who can say them anew."""
