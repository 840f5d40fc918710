"""shape."""
