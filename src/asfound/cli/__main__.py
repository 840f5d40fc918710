"""Let ``python -m asfound.cli`` be the command line."""

from asfound.cli.main import main

main()
