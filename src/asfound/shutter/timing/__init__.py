"""From samples to a firing: what is timed, how surely, and what has to be said about it."""
