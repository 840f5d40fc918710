"""The speeds of a dial: firings set against the marks, how they scatter and drift, and which to fire next."""
