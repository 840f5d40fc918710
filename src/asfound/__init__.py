"""asfound: the bench book of a repairer of old mechanical folding cameras."""

__version__ = "0.1.0"
