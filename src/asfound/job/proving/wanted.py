"""What is to be proved of a camera: one line a thing, derived from what is written down of it.

The list and the usual instruments are common practice, no source. What nobody wrote down is asked, never assumed.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from asfound.job.bodies import Camera
from asfound.job.job import key
from asfound.quantity.tolerance import Tolerance

Group = Literal["shutter", "lens", "focus", "front", "film", "light", "other"]
GROUPS: dict[Group, str] = {
    "shutter": "Shutter",
    "lens": "Apertures",
    "focus": "Focus",
    "front": "Front and struts",
    "film": "Film",
    "light": "Light, folding",
    "other": "Other proofs",
}
BY_EYE = "eye and hand"
SOUND_INPUT = "light sensor and sound input"
# What is usual where nobody says otherwise: a third of a stop for a leaf's opening, as for the times.
APERTURE_STOPS = 1 / 3
_T_AND_B = {"t": "T", "time": "T", "z": "T", "b": "B", "bulb": "B"}
_FLASH = re.compile(r"(?i:sync|flash)|\b[XM]\b")
_TIMER = re.compile(r"(?i:self.?timer|delayed action)|\bV\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """One thing to be proved.

    Attributes
    ----------
    name : str
        By which a proof of it is written.
    plain : str
        As its owner would say it.
    instrument : str
        What it is usually proved with.
    asks : str
        The question where nobody said whether the camera has it.
    also : tuple of str
        Other names by which a proof of it may have been written.
    readings : tuple of (str, str or None)
        Quantities with their place that speak of it; None is any place, of which the worst counts.
    held_to : Tolerance or None
        For a reading that brings none of its own.
    page : str
        Of the job, where it is measured; "" where it is only looked at.
    words : tuple of str
        A part with one of these in its name makes the proof stale when it is touched.
    """

    name: str
    group: Group
    plain: str
    instrument: str = BY_EYE
    asks: str = ""
    also: tuple[str, ...] = ()
    readings: tuple[tuple[str, str | None], ...] = ()
    held_to: Tolerance | None = None
    page: str = ""
    words: tuple[str, ...] = ()


_SHUTTER = ("shutter", "retard", "pallet", "cam plate", "cocking", "booster", "main spring", "blade", "speed ring")
_LENS = ("helical", "cell", "distance ring", "infinity", "spacer", "shim", "front standard", "pressure plate")
_FRONT = ("strut", "bed", "front standard", "bellows", "door")


def wanted_of(camera: Camera, budget: Tolerance | None, measured: Sequence[str] = ()) -> tuple[Wanted, ...]:
    """Return what is to be proved of a camera.

    Parameters
    ----------
    camera : Camera
    budget : Tolerance or None
        The focus budget wide open, both ways of the datum; None where it is not known.
    measured : sequence of str
        Marks of speeds that were measured, though they may not stand in the camera's particulars.
    """
    return (
        *_speeds(camera, measured),
        *_settings(camera),
        *_of_shutter(camera),
        *_apertures(camera),
        *_focus(camera, budget),
        *_front(budget),
        *_film(),
        *_light(),
    )


def _speeds(camera: Camera, measured: Sequence[str]) -> Iterable[Wanted]:
    marks = {key(mark): mark for mark in (*measured, *camera.marked_speeds)}
    in_order = dict.fromkeys(map(key, (*camera.marked_speeds, *measured)))
    timed = [marks[mark] for mark in in_order if mark not in _T_AND_B]
    for mark in timed:
        yield _shutter(f"speed {mark}", f"the speed marked {mark}", SOUND_INPUT, also=(mark, "speeds"))
    if not timed:
        yield _shutter("speeds", "the speeds", SOUND_INPUT, asks="Which speeds are marked on it?", also=("dial",))


def _settings(camera: Camera) -> Iterable[Wanted]:
    """Return T and B; where neither is among the marks, whether there is one is asked."""
    marked = {_T_AND_B[mark.casefold()] for mark in camera.marked_speeds if mark.casefold() in _T_AND_B}
    for name, says in (("B", "open while pressed"), ("T", "open until pressed again")):
        asks = "" if name in marked else f"Has it a setting {name}?"
        yield _shutter(f"setting {name}", f"the setting {name}, {says}", BY_EYE, asks=asks, also=(name,))


def _of_shutter(camera: Camera) -> Iterable[Wanted]:
    sync = "" if _FLASH.search(camera.shutter_kind) else "Has it a flash contact?"
    timer = "" if _TIMER.search(camera.shutter_kind) else "Has it a self-timer?"
    yield _shutter(
        "flash sync", "the flash contact", "light sensor and flash contact", page="shutter/sync",
        asks=sync, also=("flash contact", "sync"),
    )  # fmt: skip
    yield _shutter("self-timer", "the self-timer", "watch", asks=timer, also=("self timer",))


def _shutter(
    name: str, plain: str, instrument: str, *, asks: str = "", also: tuple[str, ...] = (), page: str = "shutter"
) -> Wanted:
    return Wanted(
        name=name, group="shutter", plain=plain, instrument=instrument, asks=asks, also=also, page=page, words=_SHUTTER
    )


def _apertures(camera: Camera) -> Iterable[Wanted]:
    source = "common practice, no source"
    held = Tolerance(unit="stop", source=source, lower=-APERTURE_STOPS, upper=APERTURE_STOPS)
    for stop in camera.marked_apertures:
        mark = f"f/{stop:g}"
        yield Wanted(
            name=f"aperture {mark}", group="lens", plain=f"the aperture {mark}", instrument="photograph of the pupil",
            also=(mark, "apertures"), readings=(("aperture", mark),), held_to=held, page="focus/aperture",
            words=("diaphragm", "aperture", "iris", "cell"),
        )  # fmt: skip
    if not camera.marked_apertures:
        yield Wanted(
            name="apertures", group="lens", plain="the apertures", instrument="photograph of the pupil",
            asks="Which apertures are marked on it?", readings=(("aperture", None),), held_to=held,
            page="focus/aperture", words=("diaphragm", "aperture", "iris", "cell"),
        )  # fmt: skip


def _focus(camera: Camera, budget: Tolerance | None) -> Iterable[Wanted]:
    glass = "ground glass"
    fixed = bool(re.search(r"\bfixed\b|\bnone\b", camera.focusing_kind, re.I))
    moves = "Can it be focused? Its focusing is said to be fixed." if fixed else ""
    yield Wanted(
        name="infinity", group="focus", plain="sharpness at infinity", instrument=glass,
        also=("infinity focus", "infinity stop"), readings=(("infinity stop off", None),), held_to=budget,
        page="focus/infinity", words=_LENS,
    )  # fmt: skip
    yield Wanted(
        name="near distance", group="focus", plain="sharpness at the nearest distance", instrument=glass,
        asks=moves, also=("near", "near focus"), readings=(("near distance off", None),), held_to=budget,
        page="focus/scale", words=_LENS,
    )  # fmt: skip
    yield Wanted(
        name="distance scale", group="focus", plain="the distance scale", instrument=glass, asks=moves,
        also=("scale",), readings=(("distance scale", None),), page="focus/scale", words=_LENS,
    )  # fmt: skip
    yield Wanted(
        name="focusing effort", group="focus", plain="how the focusing turns", instrument="spring balance", asks=moves,
        also=("focus effort", "effort"), readings=(("focusing effort", None),), page="focus/effort",
        words=("helical", "distance ring", "front cell"),
    )  # fmt: skip
    if re.search(r"rangefinder|coupled", camera.focusing_kind, re.I):
        yield Wanted(
            name="rangefinder", group="focus", plain="the rangefinder", instrument=glass, page="focus/rangefinder",
            words=("rangefinder", *_LENS),
        )  # fmt: skip


def _front(budget: Tolerance | None) -> Iterable[Wanted]:
    yield Wanted(
        name="parallelism", group="front", plain="that the lens stands square to the film", instrument="depth gauge",
        also=("front standard parallel", "standard"), readings=(("defocus at the worst corner", None),),
        held_to=budget, page="shape/standard", words=(*_FRONT, "shutter retaining ring"),
    )  # fmt: skip
    yield Wanted(
        name="struts lock", group="front", plain="that the struts lock", also=("struts", "struts locking", "locking"),
        words=_FRONT,
    )  # fmt: skip
    yield Wanted(
        name="front holds", group="front", plain="that the front holds under a finger", instrument="spring balance",
        also=("holding", "struts hold, erected", "struts hold"), readings=(("give to a push and a pull", None),),
        page="shape/opened", words=_FRONT,
    )  # fmt: skip
    scatter = None
    if budget is not None and budget.upper is not None:
        source = f"twice the scatter within the {budget.source}"
        scatter = Tolerance(unit="mm", source=source, upper=budget.upper / 2)
    yield Wanted(
        name="scatter of erection", group="front", plain="that the front comes to the same place each time",
        instrument="depth gauge", also=("scatter", "erection"), readings=(("scatter of erection", None),),
        held_to=scatter, page="shape/opened", words=_FRONT,
    )  # fmt: skip
    yield Wanted(
        name="play", group="front", plain="that nothing is loose", instrument="dial gauge or feelers",
        readings=(("play", None),), page="shape/fit", words=(*_FRONT, "helical"),
    )  # fmt: skip


def _film() -> Iterable[Wanted]:
    transport = ("wind", "transport", "roller", "spool", "back")
    yield Wanted(name="film transport", group="film", plain="the film transport", instrument="a spoilt film",
                 also=("transport",), words=transport)  # fmt: skip
    yield Wanted(name="frame spacing", group="film", plain="the spacing of the frames", instrument="a spoilt film",
                 also=("spacing",), readings=(("frame spacing", None),), words=transport)  # fmt: skip
    yield Wanted(name="pressure plate", group="film", plain="that the pressure plate keeps the film flat",
                 also=("film plane",), words=("pressure plate", "back"))  # fmt: skip


def _light() -> Iterable[Wanted]:
    yield Wanted(name="bellows light-tight", group="light", plain="that the bellows let no light in",
                 instrument="lamp in the dark", also=("bellows", "bellows tight", "bellows light tight", "pinholes"),
                 page="shape/leaks", words=("bellows",))  # fmt: skip
    yield Wanted(name="back light-tight", group="light", plain="that the back lets no light in",
                 instrument="lamp in the dark", also=("back", "back tight", "back light tight", "light seals"),
                 page="shape/leaks", words=("back", "door", "seal", "felt", "window"))  # fmt: skip
    yield Wanted(name="folds shut", group="light", plain="that it folds and shuts", also=("folding", "shuts"),
                 words=_FRONT)  # fmt: skip
