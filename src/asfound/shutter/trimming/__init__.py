"""The next move: what each adjuster does, and which reading to aim for."""
