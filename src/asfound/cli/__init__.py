"""The command line face: thin, one file to a command group."""
