"""A small drawing of how the force is taken that a strut's spring must give."""

from asfound.plots.board import arc
from asfound.plots.focus_how import Sheet
from asfound.plots.picture import Picture, Width


def strut_pulled(*, width: Width = "wide") -> Picture:
    """Return a strut on its pivot, held a little before its end by a balance square to it, with the arm to measure."""
    sheet = Sheet(width=width, height=230)
    sheet.box(30, 22, 330, 16, fill="area")
    sheet.write((195, 10), "bed", ha="center", colour="soft")
    sheet.line((90, 40), (230, 172), weight=7)
    sheet.round((90, 40), 9, fill="paper")
    sheet.write((50, 66), "pivot", ha="center")
    sheet.line(*arc((90, 40), 46, 4, 42), colour="soft")
    sheet.write((146, 54), "angle", colour="soft")
    sheet.line((230, 172), (300, 98), colour="found", weight=2)
    sheet.shape((296, 94), (308, 106), (366, 46), (352, 34), fill="paper")
    sheet.write((330, 112), "pull square to it,", colour="found")
    sheet.write((330, 92), "let it give, hold it", colour="found")
    sheet.arrow((68, 62), (206, 194), both=True)
    sheet.write((112, 152), "arm", ha="right", colour="found")
    sheet.write((250, 192), "hook")
    return sheet.done(
        "how-need",
        "Pulling at a strut with a balance",
        "A balance hooked to the strut pulls square to it; the arm is measured from the pivot to the hook.",
    )
