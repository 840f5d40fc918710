"""Small drawings of how parts are laid out, what freed what, and how a driver is measured."""

from asfound.plots.focus_how import Sheet
from asfound.plots.picture import Picture, Width


def tray_laid(*, width: Width = "wide") -> Picture:
    """Return a tray by rows: parts in the order they came off, face up, screws with their part, a place kept free."""
    sheet = Sheet(width=width, height=250)
    for letter, y, places in (("A", 140, 4), ("B", 44, 1)):
        sheet.write((34, y + 42), letter, ha="center", weight="bold")
        for k in range(places):
            sheet.box(54 + 104 * k, y, 104, 84, fill="paper")
            sheet.write((66 + 104 * k, y + 72), str(k + 1), ha="center", colour="soft")
    _ring_with_screws(sheet, 106, 178)
    _plate_with_screws(sheet, 210, 178)
    sheet.round((314, 178), 24, fill="area")
    sheet.line((314, 202), (314, 192), colour="found", weight=4)
    sheet.box(388, 166, 60, 24, fill="area")
    sheet.arrow((66, 238), (456, 238))
    sheet.write((261, 238), "in the order it came off", ha="center", colour="found")
    sheet.box(66, 62, 80, 40)
    sheet.write((106, 82), "in a bath", ha="center", colour="soft")
    sheet.write((172, 96), "the place of a part that is away", colour="soft")
    sheet.write((172, 74), "stays free: nothing else goes there", colour="soft")
    sheet.write((240, 20), "face up, twelve o'clock away from you", ha="center", colour="found")
    return sheet.done(
        "how-ledger",
        "Laying parts out by rows",
        "Each part lies face up in its own place, in the order it came off, its screws beside it as they sat; the "
        "place of a part that is away stays free.",
    )


def _screw_top(sheet: Sheet, x: float, y: float) -> None:
    sheet.round((x, y), 6, fill="grid")
    sheet.line((x - 4, y), (x + 4, y), weight=1.4)


def _ring_with_screws(sheet: Sheet, x: float, y: float) -> None:
    sheet.round((x, y), 27, fill="area")
    sheet.round((x, y), 15, fill="paper")
    for dx, dy in ((0, 35), (-35, -21), (35, -21)):
        _screw_top(sheet, x + dx, y + dy)


def _plate_with_screws(sheet: Sheet, x: float, y: float) -> None:
    sheet.shape((x - 28, y - 18), (x + 28, y - 18), (x + 28, y + 8), (x, y + 24), (x - 28, y + 8), fill="area")
    for dx, dy in ((-39, -20), (39, -20)):
        _screw_top(sheet, x + dx, y + dy)


def what_frees(*, width: Width = "wide") -> Picture:
    """Return three parts in section: a cover over the ring that it frees, and a side plate, free from the start."""
    sheet = Sheet(width=width, height=230)
    sheet.shape((40, 30), (330, 30), (330, 86), (40, 86), fill="grid")
    sheet.write((185, 52), "body", ha="center", colour="soft")
    sheet.box(96, 86, 120, 34, fill="area")
    sheet.write((156, 103), "2 ring", ha="center")
    sheet.box(76, 120, 160, 34, fill="paper")
    sheet.write((156, 137), "1 cover", ha="center")
    sheet.shape((330, 40), (356, 40), (356, 78), (330, 78), fill="area")
    sheet.arrow((104, 158), (104, 202))
    sheet.arrow((360, 59), (396, 59))
    sheet.write((404, 59), "3 plate")
    sheet.write((124, 200), "the cover had to come off first:", colour="found")
    sheet.write((124, 178), "2 was freed by 1", colour="found")
    sheet.write((252, 136), "3 came off last, and yet", colour="found")
    sheet.write((252, 114), "nothing lay over it:", colour="found")
    sheet.write((474, 14), "3 was freed by nothing", ha="right", colour="found")
    return sheet.done(
        "how-freed",
        "What freed what",
        "The ring could not come off before the cover over it: it was freed by that. The side plate came off last, "
        "but nothing held it back: it was freed by nothing.",
    )


def driver_sizes(*, width: Width = "wide") -> Picture:
    """Return a driver from the side with its shaft, handle and length, and its blade from the front and on edge."""
    sheet = Sheet(width=width, height=240)
    sheet.box(30, 150, 96, 44, fill="area")
    sheet.box(126, 163, 220, 18, fill="paper")
    sheet.shape((346, 163), (392, 168), (392, 176), (346, 181), fill="paper")
    sheet.arrow((126, 206), (392, 206), both=True)
    sheet.write((259, 226), "shaft, from handle to tip", ha="center", colour="found")
    sheet.arrow((20, 150), (20, 194), both=True)
    sheet.write((30, 134), "handle", colour="found")
    sheet.arrow((240, 163), (240, 181), both=True)
    sheet.write((240, 146), "shaft, where it goes in", ha="center", colour="found")
    sheet.shape((70, 34), (110, 34), (104, 106), (76, 106), fill="paper")
    sheet.arrow((70, 22), (110, 22), both=True)
    sheet.write((120, 22), "width", colour="found")
    sheet.shape((268, 34), (280, 34), (290, 106), (258, 106), fill="paper")
    sheet.line((250, 46), (298, 46), colour="soft", dashes=(4, 3), weight=1)
    sheet.arrow((240, 40), (267, 40))
    sheet.arrow((308, 40), (281, 40))
    sheet.write((316, 46), "thickness, as deep", colour="found")
    sheet.write((316, 26), "as the slot is", colour="found")
    sheet.write((90, 82), "flat", ha="center", colour="soft")
    sheet.write((304, 88), "on edge", colour="soft")
    return sheet.done(
        "how-driver",
        "Measuring a driver",
        "The blade's width across the flat; its thickness on edge, where it stands in the slot; the shaft's diameter "
        "and its length to the handle.",
    )
