"""A picture as SVG: for a page (real text, classes, no style) and for print (outlines in black ink)."""

import hashlib
import io
import re
from xml.etree import ElementTree as ET

from asfound.plots.palette import PALETTE
from asfound.plots.picture import Picture, settings

_SVG = "http://www.w3.org/2000/svg"
_LINK = "{http://www.w3.org/1999/xlink}href"
_CLASSES = {colour.drawn: name for name, colour in PALETTE.items()}
_KEPT = frozenset(
    f"{of}{what}" for of in ("fill", "stroke") for what in ("", "-opacity", "-rule", "-width", "-linejoin", "-linecap")
) | {"opacity", "stroke-dasharray", "stroke-dashoffset", "stroke-miterlimit", "text-anchor", "font-size", "font-weight"}


def page_svg(picture: Picture) -> str:
    """Return a picture to be put into a page as it is.

    It holds real text, no style attribute and no style element (a page's content-security policy allows none);
    its colours are the classes of `palette_css`. Its identifiers begin with its name and a digest of what is
    drawn, so that several pictures may stand in one page.
    """
    root = ET.fromstring(_drawn(picture, text_as="none"))
    _drop(root, f"{{{_SVG}}}metadata")
    for style_holder in root.findall(f"{{{_SVG}}}defs"):
        _drop(style_holder, f"{{{_SVG}}}style")
    for element in root.iter():
        _plain(element)
    prefix = f"{picture.name}-{hashlib.sha256(ET.tostring(root)).hexdigest()[:10]}"
    _own_identifiers(root, prefix)
    _frame(root, picture, prefix)
    ET.register_namespace("", _SVG)
    return ET.tostring(root, encoding="unicode")


def print_svg(picture: Picture) -> bytes:
    """Return a picture for the typesetter: text as outlines, black ink on white."""
    text = _drawn(picture, text_as="path")
    for colour in PALETTE.values():
        text = text.replace(colour.drawn, colour.ink)
    return text.encode()


def _drawn(picture: Picture, *, text_as: str) -> str:
    held = io.StringIO()
    _lay_out(picture)
    with settings(**{"svg.fonttype": text_as, "svg.hashsalt": "asfound", "text.parse_math": False}):
        picture.figure.savefig(held, format="svg", transparent=True, metadata={"Date": None, "Creator": None})
    return held.getvalue()


def _lay_out(picture: Picture) -> None:
    """Lay a picture out once; left to the library it is drawn twice each time, the first time for nothing."""
    engine = picture.figure.get_layout_engine()
    if engine is not None:
        with settings():
            engine.execute(picture.figure)
            picture.figure.set_layout_engine(None)


def _drop(parent: ET.Element, tag: str) -> None:
    for child in parent.findall(tag):
        parent.remove(child)


def _plain(element: ET.Element) -> None:
    """Turn a style attribute into attributes of their own, and the palette's colours into classes."""
    for name, value in _declarations(element.attrib.pop("style", "")):
        if name == "font":
            element.attrib.update(_font(value))
        elif name in _KEPT:
            element.set(name, value)
    classes = [f"{name}-{_CLASSES[element.attrib.pop(name)]}" for name in ("fill", "stroke") if _named(element, name)]
    if classes:
        element.set("class", " ".join(classes))


def _named(element: ET.Element, name: str) -> bool:
    return element.get(name, "") in _CLASSES


def _declarations(style: str) -> list[tuple[str, str]]:
    pairs = (part.partition(":") for part in style.split(";") if ":" in part)
    return [(name.strip(), value.strip()) for name, _, value in pairs]


def _font(value: str) -> dict[str, str]:
    """Keep size and weight; the family is the page's own."""
    size = re.search(r"([\d.]+)px", value)
    found = {"font-size": size[1]} if size else {}
    weight = re.search(r"\b(bold|[6-9]00)\b", value)
    return found | ({"font-weight": weight[1]} if weight else {})


def _own_identifiers(root: ET.Element, prefix: str) -> None:
    names = {id_: f"{prefix}-{n}" for n, id_ in enumerate(_identifiers(root))}
    for element in root.iter():
        if "id" in element.attrib:
            element.set("id", names[element.attrib["id"]])
        if _LINK in element.attrib:
            element.set("href", "#" + names[element.attrib.pop(_LINK).removeprefix("#")])
        clip = element.get("clip-path", "")
        if clip.startswith("url(#"):
            element.set("clip-path", f"url(#{names[clip[5:-1]]})")


def _identifiers(root: ET.Element) -> list[str]:
    return list(dict.fromkeys(e.attrib["id"] for e in root.iter() if "id" in e.attrib))


def _frame(root: ET.Element, picture: Picture, prefix: str) -> None:
    root.attrib.pop("height", None)
    root.attrib.pop("version", None)
    root.set("width", "100%")
    root.set("role", "img")
    root.set("class", f"picture picture-{picture.width}")
    root.set("aria-labelledby", f"{prefix}-title {prefix}-desc")
    for place, (tag, text) in enumerate((("title", picture.title), ("desc", picture.description))):
        child = ET.Element(f"{{{_SVG}}}{tag}", {"id": f"{prefix}-{tag}"})
        child.text = text
        root.insert(place, child)
