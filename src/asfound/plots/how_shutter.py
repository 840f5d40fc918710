"""Small drawings of what goes where when a shutter is measured."""

from asfound.plots.board import around
from asfound.plots.focus_how import Sheet
from asfound.plots.picture import Picture, Width


def _lamp(sheet: Sheet, x: float, y: float) -> None:
    sheet.round((x, y), 20, fill="area")
    for angle in (-40, -20, 0, 20, 40):
        sheet.line(around((x, y), 26, angle), around((x, y), 40, angle), colour="found", weight=2)


def _blades(sheet: Sheet, x: float, y: float, *, hole: float) -> None:
    sheet.box(x - 9, y + hole, 18, 70 - hole, fill="paper")
    sheet.box(x - 9, y - 70, 18, 70 - hole, fill="paper")


def stopped_pupil(*, width: Width = "wide") -> Picture:
    """Return the same blades before a wide and a small aperture: the small one is uncovered for longer."""
    sheet = Sheet(width=width, height=250)
    for x, radius, words in ((96, 74, "wide open"), (384, 28, "stopped down")):
        sheet.round((x, 122), 84, fill="paper")
        sheet.round((x, 122), radius, fill="area")
        for turn in range(5):
            here = [around((x, 122), 84, 72 * turn), around((x, 122), 40, 72 * turn + 36)]
            sheet.line(*here, colour="soft", weight=1.2)
        sheet.write((x, 22), words, ha="center", weight="bold")
    sheet.write((240, 132), "the blades", ha="center", colour="soft")
    sheet.write((240, 112), "pass both", ha="center", colour="soft")
    sheet.write((240, 232), "the small hole is whole for longer", ha="center", colour="found")
    return sheet.done(
        "how-stopped",
        "A small aperture is uncovered for longer",
        "The same blades open a small hole whole sooner and cover it later than a wide one: the time grows.",
    )


def contact_and_lamp(*, width: Width = "wide") -> Picture:
    """Return the flash contact wired to the second channel, and a lamp before the shutter on the first."""
    sheet = Sheet(width=width, height=244)
    _lamp(sheet, 50, 140)
    _blades(sheet, 170, 140, hole=22)
    sheet.line((100, 140), (262, 140), colour="left", dashes=(5, 3))
    sheet.box(262, 118, 44, 44, fill="area")
    sheet.write((284, 176), "light", ha="center")
    sheet.line((170, 70), (170, 40), (262, 40), weight=2)
    sheet.round((170, 70), 6, fill="found")
    sheet.box(262, 22, 44, 36, fill="area")
    sheet.write((284, 74), "contact", ha="center")
    for y, words in ((140, "channel 1"), (40, "channel 2")):
        sheet.arrow((310, y), (352, y))
        sheet.write((360, y), words)
    sheet.write((170, 230), "no flash on it, no capacitor", ha="center", colour="found")
    return sheet.done(
        "how-sync",
        "Light and flash contact, each on its channel",
        "A lamp shines through the shutter on one channel of the recording; the flash contact closes on the other.",
    )


def plate_moved(*, width: Width = "wide") -> Picture:
    """Return a gear train on its plate, held by a screw in a slot, and the scribed line that shows a move."""
    sheet = Sheet(width=width, height=220)
    sheet.shape((60, 50), (300, 50), (320, 130), (220, 176), (60, 150), fill="paper")
    for at, radius in (((120, 100), 34), ((180, 112), 26), ((228, 98), 20)):
        sheet.round(at, radius, fill="area")
        sheet.round(at, 4, fill="grid")
    sheet.box(258, 74, 44, 14, fill="grid")
    sheet.round((272, 81), 11, fill="paper")
    sheet.line((264, 81), (280, 81), weight=2)
    sheet.line((60, 170), (60, 196), colour="found", weight=3)
    sheet.line((48, 196), (72, 196), colour="found", weight=1.5)
    sheet.write((80, 196), "scribe a line before you move it", colour="found")
    sheet.arrow((330, 96), (372, 96), both=True)
    sheet.write((340, 72), "a little,")
    sheet.write((340, 52), "one at a time")
    sheet.write((170, 26), "slacken, move, tighten, fire three", ha="center")
    return sheet.done(
        "how-trim",
        "Moving the retard train by its plate",
        "A scribed line shows where the plate stood; one adjuster is moved a little at a time, then fired again.",
    )


def where_to_look(*, width: Width = "wide") -> Picture:
    """Return the dial's readings as they go in, and the four places where a cause sits."""
    sheet = Sheet(width=width, height=200)
    for n, (words, colour) in enumerate(
        (("main spring", "left"), ("blades", "left"), ("cam plate", "left"), ("retard train", "found"))
    ):
        y = 160 - 40 * n
        sheet.box(250, y - 14, 150, 28, fill="paper")
        sheet.write((325, y), words, ha="center", colour=colour)
        sheet.line((176, 100), (250, y), colour="soft")
    for n, mark in enumerate(("1", "1/5", "1/25", "1/100")):
        y = 154 - 36 * n
        sheet.write((80, y), mark, ha="right")
        sheet.line((92, y), (92 + 66 - 18 * n, y), colour="found" if n < 2 else "left", weight=7)
    sheet.write((60, 188), "which speeds are off")
    sheet.write((325, 188), "says where to look", ha="center")
    return sheet.done(
        "how-why",
        "Which speeds are off says where to look",
        "Slow speeds alone point to the retard train; all alike point to spring, blades or cam plate.",
    )
