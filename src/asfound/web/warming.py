"""What is slow the first time, done once while nobody waits for it."""

import threading

from asfound.job.line import parse_line
from asfound.plots import dial_picture, page_svg
from asfound.web.render import warm_templates


def warm_up() -> None:
    """Read the templates and the quick line's grammar, and find the fonts of the pictures."""
    warm_templates()
    parse_line("off front ring, 3 screws, tray B2")
    page_svg(dial_picture(()))


def warm_up_aside() -> threading.Thread:
    """Do so in a thread of its own, which ends with the program."""
    thread = threading.Thread(target=warm_up, name="warming up", daemon=True)
    thread.start()
    return thread
