"""Small drawings of how a straight spring or a leaf is measured."""

from asfound.plots.focus_how import Sheet
from asfound.plots.picture import Picture, Width


def _coil(sheet: Sheet, left: float, right: float, y: float, half: float, turns: int) -> None:
    """Draw a coil from the side."""
    step = (right - left) / turns
    for n in range(turns):
        x = left + n * step
        sheet.line((x, y - half), (x + step / 2, y + half), weight=3)
        sheet.line((x + step / 2, y + half), (x + step, y - half), colour="soft", weight=1.5)


def coil_measured(*, width: Width = "wide") -> Picture:
    """Return a pressed spring with its free length, the outside of its coil and its wire."""
    sheet = Sheet(width=width, height=200)
    _coil(sheet, 120, 330, 100, 38, 7)
    sheet.line((120, 62), (120, 138), weight=3)
    sheet.line((330, 62), (330, 138), weight=3)
    sheet.arrow((120, 40), (330, 40), both=True)
    sheet.write((225, 18), "free length, lying", ha="center", colour="found")
    sheet.arrow((92, 62), (92, 138), both=True)
    sheet.write((84, 100), "outside", ha="right", colour="found")
    sheet.write((225, 168), "count the turns, ends included", ha="center")
    sheet.round((410, 112), 15, fill="area")
    sheet.arrow((395, 84), (425, 84), both=True)
    sheet.write((410, 58), "wire, bare", ha="center", colour="found")
    return sheet.done(
        "how-coil",
        "Measuring a spring that is pressed",
        "The free length lies flat, the outside goes over the coil, the wire is taken bare where no lacquer is.",
    )


def hooks_measured(*, width: Width = "wide") -> Picture:
    """Return a drawn spring hung from a hook, and the pull at which its turns just part."""
    sheet = Sheet(width=width, height=200)
    for n in range(9):
        sheet.line((150 + 12 * n, 66), (156 + 12 * n, 134), weight=3)
    sheet.line((150, 66), (128, 84), (128, 112), (146, 112), weight=3)
    sheet.line((252, 134), (276, 118), (276, 90), (258, 90), weight=3)
    sheet.box(44, 90, 62, 24, fill="area")
    sheet.line((106, 102), (128, 102), weight=2)
    sheet.arrow((280, 102), (340, 102))
    sheet.write((350, 112), "read the pull", colour="found")
    sheet.write((350, 92), "as they part", colour="found")
    sheet.arrow((150, 44), (252, 44), both=True)
    sheet.write((201, 22), "turns of the body alone", ha="center", colour="found")
    sheet.write((201, 164), "they touch: paper between two tells", ha="center")
    return sheet.done(
        "how-hooks",
        "Measuring a spring that is drawn",
        "The body's turns are counted without the hooks; the pull is read at which they just part.",
    )


def leaf_measured(*, width: Width = "wide") -> Picture:
    """Return a strip held at one end, with its length to the force, its thickness and its width."""
    sheet = Sheet(width=width, height=200)
    sheet.box(40, 70, 60, 70, fill="area")
    sheet.box(100, 100, 230, 9, fill="paper")
    sheet.arrow((318, 152), (318, 112))
    sheet.write((318, 168), "force", ha="center", colour="found")
    sheet.arrow((100, 78), (318, 78), both=True)
    sheet.write((209, 56), "from the edge of the clamp to the force", ha="center", colour="found")
    sheet.write((70, 156), "held", ha="center", colour="soft")
    sheet.box(390, 92, 60, 12, fill="paper")
    sheet.arrow((390, 122), (450, 122), both=True)
    sheet.write((420, 140), "width", ha="center", colour="found")
    sheet.write((420, 70), "thickness", ha="center", colour="found")
    return sheet.done(
        "how-leaf",
        "Measuring a leaf",
        "Its length runs from the edge of what holds it to where the force acts; a bit of thickness tells most.",
    )


def leg_bent(*, width: Width = "wide") -> Picture:
    """Return a coil on a rod that fills it, its leg bent a little round a smooth pin, before and after."""
    sheet = Sheet(width=width, height=230)
    sheet.round((130, 104), 62, fill="paper", weight=3)
    sheet.round((130, 104), 50, fill="area")
    sheet.write((130, 104), "rod", ha="center")
    sheet.line((130, 166), (330, 166), colour="soft", dashes=(5, 4), weight=2)
    sheet.line((130, 166), (190, 166), (322, 204), weight=3)
    sheet.round((185, 178), 9, fill="grid")
    sheet.write((172, 196), "pin", ha="right", colour="soft")
    sheet.arrow((334, 168), (330, 196))
    sheet.write((344, 182), "a little,", colour="found")
    sheet.write((344, 162), "then measure", colour="found")
    sheet.write((206, 140), "round a smooth pin,")
    sheet.write((206, 118), "never at a nick or an old bend")
    sheet.write((206, 74), "the rod fills the coil,", colour="soft")
    sheet.write((206, 54), "so that it keeps its shape", colour="soft")
    sheet.write((40, 22), "as it was", colour="soft")
    sheet.line((118, 22), (150, 22), colour="soft", dashes=(5, 4), weight=2)
    return sheet.done(
        "how-remedies",
        "Bending a leg so that the spring is wound further",
        "A rod holds the coil; the leg is bent a little round a smooth pin, and the spring is measured "
        "before it is bent again.",
    )


def hands_told(*, width: Width = "wide") -> Picture:
    """Return two coils lying level: the near wires of one lean left as they rise, those of the other right."""
    sheet = Sheet(width=width, height=190)
    for left, lean, hand in ((40, -10, "right-hand"), (270, 10, "left-hand")):
        for n in range(7):
            x = left + 20 + 22 * n
            if n < 6:
                sheet.line((x + lean, 128), (x + 22 - lean, 62), colour="soft", weight=1.5)
            sheet.line((x - lean, 62), (x + lean, 128), weight=4)
        sheet.write((left + 86, 28), hand, ha="center", weight="bold")
        way = "left" if lean < 0 else "right"
        sheet.write((left + 86, 160), f"near wires lean {way}", ha="center", colour="found")
    return sheet.done(
        "how-hand",
        "Telling the hand of a coil",
        "With the coil lying level, the near wires of a right-hand spring lean left as they rise, those of a left-hand "
        "one lean right.",
    )
