"""The colours of every picture: one name each, with its value in the light, in the dark, and in black ink."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Colour:
    """A colour by what it is for.

    Attributes
    ----------
    drawn : str
        The value it is drawn with; every colour has its own, so that it can be found again in the drawing.
    light, dark : str
        On a page, in either theme.
    ink : str
        In print.
    """

    drawn: str
    light: str
    dark: str
    ink: str


PALETTE = {
    "ink": Colour("#101112", "#1c1b18", "#f3efe6", "#000000"),
    "soft": Colour("#505152", "#57534a", "#bdb6a6", "#3a3a3a"),
    "grid": Colour("#d0d1d2", "#d9d4c7", "#48443b", "#c4c4c4"),
    "paper": Colour("#fdfcfb", "#fffdf8", "#1d1b17", "#ffffff"),
    "band": Colour("#c0d1c2", "#cfe3d2", "#294a33", "#e2e2e2"),
    "bound": Colour("#609162", "#3f7a4c", "#7fc490", "#7a7a7a"),
    "found": Colour("#b05112", "#a8480a", "#ffab6b", "#000000"),
    "left": Colour("#1051a2", "#0d4f9e", "#8cc4ff", "#000000"),
    "stale": Colour("#909192", "#857f72", "#8f8878", "#8a8a8a"),
    "area": Colour("#b0c1e2", "#cfdff5", "#263f5e", "#dcdcdc"),
}


def drawn(name: str) -> str:
    """Return the value that a colour is drawn with."""
    return PALETTE[name].drawn


def palette_css() -> str:
    """Return the rules that give the classes of a page's pictures their colours, in both themes.

    A picture uses `fill-NAME` and `stroke-NAME`; the values are custom properties named `--plot-NAME`.
    """
    light = "".join(f"--plot-{name}:{colour.light};" for name, colour in PALETTE.items())
    dark = "".join(f"--plot-{name}:{colour.dark};" for name, colour in PALETTE.items())
    rules = "".join(
        f".fill-{name}{{fill:var(--plot-{name})}}.stroke-{name}{{stroke:var(--plot-{name})}}\n" for name in PALETTE
    )
    return f":root{{{light}}}\n@media (prefers-color-scheme:dark){{:root{{{dark}}}}}\n{rules}"
