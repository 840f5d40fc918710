"""capture."""
