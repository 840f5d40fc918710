"""shutter."""
