"""The printed square that a ring is photographed in, as a PDF."""

import typst

from asfound.problems import bad_input

_PAPERS = {"a4": (210.0, 297.0), "us-letter": (215.9, 279.4)}
_MARGIN_MM = 12.0
_SOURCE = """
#set page(paper: "{paper}", margin: {margin}mm)
#set text(size: 10pt)
#align(center + horizon)[
  #box(width: {side}mm, height: {side}mm, fill: black)[
    #place(top + left, dx: {bar}mm, dy: {bar}mm, rect(width: {hole}mm, height: {hole}mm, fill: white, stroke: none))
  ]
  #v(6mm)
  Lay the ring within the square, dark on light. Have the whole square in the photograph.
  #linebreak()
  Print without scaling. Side {side:g} mm, bars {bar:g} mm: measure both on the print and give what you find.
]
"""


def target_pdf(*, side_mm: float, bar_mm: float, paper: str = "a4") -> bytes:
    """Return a page with a square of black bars, its outer side and bar width as given.

    Raises
    ------
    BadInputError
        If the square does not fit the paper, or the bars do not fit the square.
    """
    if paper not in _PAPERS:
        raise bad_input("--paper", f"{paper!r} is not known", f"use one of {', '.join(_PAPERS)}")
    widest = _PAPERS[paper][0] - 2 * _MARGIN_MM
    if not 30 <= side_mm <= widest:
        raise bad_input("--side", f"{side_mm:g} mm does not fit {paper}", f"give 30 to {widest:g} mm")
    if not 2 <= bar_mm <= side_mm / 5:
        raise bad_input("--bar", f"{bar_mm:g} mm", f"give 2 to {side_mm / 5:g} mm")
    source = _SOURCE.format(paper=paper, margin=_MARGIN_MM, side=side_mm, bar=bar_mm, hole=side_mm - 2 * bar_mm)
    return typst.compile(source.encode(), timestamp=0, ignore_system_fonts=True)
