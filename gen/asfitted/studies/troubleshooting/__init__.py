"""Finding the fault later: every single failure played, and the table that tells them apart."""
