"""Small drawings of how a small screw is measured, and how a driver reaches one in its well."""

from asfound.plots.focus_how import Sheet
from asfound.plots.picture import Picture, Width


def screw_measured(*, width: Width = "wide") -> Picture:
    """Return a screw between the jaws of a calliper, ten crests on a scale, and its length under the head."""
    sheet = Sheet(width=width, height=210)
    _screw(sheet, 118, 150)
    for x, away in ((86, -34), (150, 34)):
        sheet.shape((x, 96), (x, 62), (x + away, 50), (x + away, 108), fill="paper")
    sheet.write((118, 28), "over the crests", ha="center", colour="found")
    sheet.arrow((196, 150), (196, 44), both=True)
    sheet.write((204, 98), "length", colour="found")
    sheet.write((204, 78), "under the head", colour="found")
    for n in range(14):
        x = 322 + 10 * n
        sheet.shape((x, 128), (x + 5, 140), (x + 10, 128), fill="area", weight=1.2)
        sheet.line((x, 92), (x, 104 if n % 5 else 110), weight=1)
    sheet.line((316, 92), (468, 92), weight=2)
    sheet.arrow((327, 158), (427, 158), both=True)
    sheet.write((377, 178), "ten crests, divide by ten", ha="center", colour="found")
    sheet.write((392, 40), "on a scale, magnified", ha="center", colour="soft")
    return sheet.done(
        "how-screw",
        "Measuring a small screw",
        "The jaws lie over the crests; the length is taken under the head; ten crests on a scale give the pitch.",
    )


def _screw(sheet: Sheet, x: float, top: float) -> None:
    """Draw a cheese-head screw, its head on top."""
    sheet.box(x - 46, top, 92, 34, fill="area")
    sheet.box(x - 8, top + 16, 16, 18, fill="paper")
    sheet.box(x - 26, top - 106, 52, 106, fill="paper")
    for n in range(7):
        low = top - 100 + 14 * n
        sheet.shape((x - 26, low), (x - 32, low + 6), (x - 26, low + 12), fill="area", weight=1)
        sheet.shape((x + 26, low), (x + 32, low + 6), (x + 26, low + 12), fill="area", weight=1)


def screw_in_well(*, width: Width = "wide") -> Picture:
    """Return a screw at the bottom of a well with an obstacle beside it, and the driver that stands upright in it."""
    sheet = Sheet(width=width, height=230)
    sheet.shape((30, 30), (400, 30), (400, 150), (262, 150), (262, 62), (138, 62), (138, 190), (30, 190), fill="area")
    sheet.box(168, 62, 64, 20, fill="paper")
    sheet.box(192, 70, 16, 12, fill="grid")
    sheet.shape((194, 72), (206, 72), (209, 98), (209, 212), (191, 212), (191, 98), fill="paper")
    sheet.arrow((352, 150), (352, 74), both=True)
    sheet.line((212, 74), (370, 74), colour="soft", dashes=(4, 3), weight=1)
    sheet.write((360, 112), "depth", colour="found")
    sheet.arrow((200, 200), (138, 200), both=True)
    sheet.write((128, 210), "beside the axis", ha="right", colour="found")
    sheet.write((218, 206), "shaft upright: a leaning", colour="soft")
    sheet.write((218, 186), "blade climbs out", colour="soft")
    sheet.write((84, 110), "obstacle", ha="center")
    return sheet.done(
        "how-reach",
        "A screw at the bottom of a well",
        "The depth is taken from the slot to the edge; an obstacle is measured by how far it stands beside the axis.",
    )
