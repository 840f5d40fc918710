"""The migrations."""
