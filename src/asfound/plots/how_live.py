"""A small drawing of where lamp, camera and sensor stand when a shutter is fired live."""

from asfound.plots.board import around
from asfound.plots.focus_how import Sheet
from asfound.plots.picture import Picture, Width


def sensor_behind(*, width: Width = "wide") -> Picture:
    """Return lamp, paper, camera with its back open, sensor on the axis at the film, a cloth over it, and the cable."""
    sheet = Sheet(width=width, height=250)
    sheet.round((50, 140), 20, fill="area")
    for angle in (-36, -18, 0, 18, 36):
        sheet.line(around((50, 140), 26, angle), around((50, 140), 42, angle), colour="found", weight=2)
    sheet.line((104, 140), (330, 140), colour="left", dashes=(5, 3))
    sheet.line((120, 92), (120, 188), weight=3)
    sheet.write((104, 222), "white paper", ha="center")
    sheet.line((112, 210), (119, 192), colour="soft", weight=1)
    sheet.box(150, 96, 46, 88, fill="area")
    sheet.shape((196, 108), (300, 84), (300, 196), (196, 172), fill="paper")
    sheet.box(300, 70, 14, 30, fill="grid")
    sheet.box(300, 180, 14, 30, fill="grid")
    sheet.box(322, 126, 30, 28, fill="found")
    sheet.line((320, 222), (374, 222), (374, 66), (320, 66), colour="soft", dashes=(5, 3), weight=2.4)
    sheet.line((352, 140), (426, 140), (426, 66), weight=2)
    sheet.box(400, 40, 52, 26, fill="area")
    sheet.write((426, 22), "sound input", ha="center")
    sheet.write((50, 104), "lamp on", ha="center")
    sheet.write((50, 82), "direct", ha="center")
    sheet.write((50, 62), "current", ha="center")
    sheet.write((173, 200), "shutter", ha="center")
    sheet.write((310, 236), "back open, a dark cloth over it", ha="center", colour="soft")
    sheet.write((384, 184), "sensor on", colour="found")
    sheet.write((384, 162), "the axis", colour="found")
    sheet.write((150, 50), "camera stands fast:", colour="found")
    sheet.write((150, 28), "cable release, no hand", colour="found")
    return sheet.done(
        "how-live",
        "Where lamp, camera and sensor stand",
        "The lamp shines through white paper and the lens, along its axis, onto the sensor, which stands where the "
        "film would; the camera is held fast and a cloth keeps other light out.",
    )
