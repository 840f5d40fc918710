"""More small drawings of how a reading of the focus is taken: infinity, effort, front cell, rangefinder, aperture."""

from asfound.plots.board import around
from asfound.plots.focus_how import Sheet
from asfound.plots.picture import Picture, Width


def ground_glass(*, width: Width = "wide") -> Picture:
    """Return the open camera with a ground glass on its rails, a loupe behind it and a far target."""
    sheet = Sheet(width=width, height=200)
    sheet.line((20, 40), (60, 90), (84, 62), (112, 104), (140, 40), colour="soft")
    sheet.write((20, 20), "far away")
    sheet.line((150, 92), (205, 92), colour="left", dashes=(5, 3))
    sheet.lens(220, 92, 76)
    for y in (54, 130):
        sheet.line((232, y), (310, 92 + (y - 92) * 1.35), weight=1.2)
    sheet.line((316, 34), (316, 150), colour="found", weight=4)
    sheet.box(318, 34, 8, 116, fill="paper")
    sheet.shape((332, 74), (332, 110), (392, 126), (392, 58), fill="paper")
    sheet.write((402, 92), "loupe")
    sheet.write((318, 172), "ground side to the lens", ha="center", colour="found")
    sheet.write((322, 16), "glass on the film rails", ha="center")
    return sheet.done(
        "how-infinity",
        "Looking for infinity on a ground glass",
        "A ground glass lies on the film rails, its ground side towards the lens; a loupe looks at it from behind.",
    )


def pull_at_lever(*, width: Width = "wide") -> Picture:
    """Return a balance that pulls at the focusing lever square to it."""
    sheet = Sheet(width=width, height=220)
    centre = (130.0, 104.0)
    sheet.round(centre, 82, fill="paper")
    sheet.round(centre, 48, fill="area")
    for n in range(7):
        angle = 150 - 40 * n
        sheet.line(around(centre, 72, angle), around(centre, 82, angle), weight=2)
        sheet.write(around(centre, 62, angle), f"{n + 1}", ha="center", colour="soft")
    sheet.line(around(centre, 82, 70), around(centre, 108, 70), weight=7)
    grip = around(centre, 104, 70)
    sheet.line(grip, (grip[0] + 110, grip[1] - 40), colour="found", weight=2)
    sheet.shape(
        (grip[0] + 108, grip[1] - 32), (grip[0] + 222, grip[1] - 74), (grip[0] + 216, grip[1] - 92),
        (grip[0] + 102, grip[1] - 50), fill="paper",
    )  # fmt: skip
    sheet.write((262, 92), "pull square to the", colour="found")
    sheet.write((262, 72), "lever, slowly", colour="found")
    sheet.write((262, 40), "the same positions")
    sheet.write((262, 20), "out, then back in")
    return sheet.done(
        "how-effort",
        "Pulling at the focusing lever with a balance",
        "A spring balance pulls at the focusing lever, square to it, at six to twelve positions, out and in.",
    )


def front_cell_travel(*, width: Width = "wide") -> Picture:
    """Return a front cell that screws out of the lens, the rear cell staying."""
    sheet = Sheet(width=width, height=200)
    sheet.box(150, 38, 26, 120, fill="grid")
    sheet.lens(130, 98, 96)
    sheet.lens(196, 98, 84)
    sheet.shape((92, 44), (92, 152), (104, 152), (104, 44), fill="paper")
    sheet.lens(98, 98, 90)
    sheet.line((130, 22), (130, 174), colour="soft", dashes=(4, 3))
    sheet.arrow((128, 170), (98, 170))
    sheet.write((90, 170), "out", ha="right", colour="found")
    sheet.write((90, 26), "front cell", ha="right")
    sheet.write((206, 166), "shutter", colour="soft")
    sheet.write((206, 32), "rear cell stays")
    sheet.line((400, 40), (400, 156), weight=4)
    sheet.write((392, 98), "film stays", ha="right")
    return sheet.done(
        "how-front-cell",
        "A front cell screwed out for a near distance",
        "Only the front cell moves out on its thread; shutter, rear cell and film stay where they are.",
    )


def taped_target(*, width: Width = "wide") -> Picture:
    """Return a camera and a target with a tape from the film plane."""
    sheet = Sheet(width=width, height=180)
    sheet.box(40, 56, 34, 76, fill="grid")
    sheet.shape((74, 70), (104, 80), (104, 108), (74, 118), fill="paper")
    sheet.lens(110, 94, 46)
    sheet.line((48, 40), (48, 148), colour="found", weight=2, dashes=(4, 3))
    sheet.write((48, 162), "film plane", ha="center", colour="found")
    sheet.arrow((48, 32), (420, 32), both=True)
    sheet.write((234, 32), "taped distance", ha="center", colour="found")
    sheet.line((420, 22), (420, 150), weight=3)
    sheet.line((404, 94), (436, 94), weight=3)
    sheet.write((420, 164), "target", ha="center")
    sheet.line((116, 94), (400, 94), colour="left", dashes=(5, 3))
    return sheet.done(
        "how-rangefinder",
        "A target at a taped distance from the film plane",
        "The distance is taped from the film plane, not from the lens, to a target with an upright line.",
    )


def pupil(*, width: Width = "wide") -> Picture:
    """Return the diaphragm as seen through the front of the lens, with a rule across it."""
    sheet = Sheet(width=width, height=220)
    centre = (130.0, 110.0)
    sheet.round(centre, 94, fill="grid")
    sheet.round(centre, 78, fill="soft", weight=1)
    sheet.shape(*(around(centre, 48, 36 + 72 * n) for n in range(5)), fill="paper")
    sheet.arrow((130 - 40, 110), (130 + 42, 110), both=True)
    sheet.write((240, 168), "as seen through the")
    sheet.write((240, 146), "front of the lens")
    sheet.write((240, 104), "width of the opening,", colour="found")
    sheet.write((240, 82), "the mean of two", colour="found")
    sheet.write((240, 60), "directions", colour="found")
    return sheet.done(
        "how-aperture",
        "The opening of the diaphragm, seen from the front",
        "The diaphragm's opening as it appears through the front of the lens, measured in two directions.",
    )
