"""focus."""
