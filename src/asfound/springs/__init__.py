"""springs."""
