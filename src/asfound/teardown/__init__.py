"""teardown."""
