"""What is slow the first time, done once while nobody waits for it."""

import gc
import threading

from asfound.job.line import parse_line
from asfound.plots import dial_picture, page_svg
from asfound.web.render import warm_templates


def warm_up() -> None:
    """Read the templates and the quick line's grammar, and find the fonts of the pictures."""
    warm_templates()
    parse_line("off front ring, 3 screws, tray B2")
    page_svg(dial_picture(()))


def _warm_up_and_settle() -> None:
    """Warm up, and leave what is then there out of every later search for garbage.

    Such a search holds up all that is asked meanwhile, by a quarter of a second in a full book: it is made more
    seldom, and over less.
    """
    warm_up()
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 10, 20)


def warm_up_aside() -> threading.Thread:
    """Do so in a thread of its own, which ends with the program."""
    thread = threading.Thread(target=_warm_up_and_settle, name="warming up", daemon=True)
    thread.start()
    return thread
