"""What a ring's shape means: roundness in words, four circles, lobes, rub, and where to press."""

from collections.abc import Sequence
from dataclasses import dataclass

from asfound.plots.ring import ring_picture
from asfound.problems import bad_input
from asfound.quantity import Reading, parse_quantity, show_number, show_reading
from asfound.shape import (
    UNKNOWN_SPRING_BACK,
    Circle,
    Overlay,
    PressMade,
    PressPlace,
    Ring,
    Rub,
    Scuff,
    Zone,
    deg_to_clock,
    learn,
    next_push_mm,
    overlay,
    polar,
    press_places,
    profile,
    rub_on_pointer,
)
from asfound.springs.cautions import LOADED_SPRING
from asfound.web.room import Choice, Row, Section, Table, both
from asfound.web.room_form import Values
from asfound.web.shape.common import READING, WORK, beside, length, scuffs_of, title_of

# A ring under a press is a spring under load.
PRESS_CAUTION = "a ring in a press is a spring under load: it jumps out, or cracks"
_LOBES = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What was asked of a ring beside its roundness, worked out."""

    u_radius_mm: float | None
    u_out_mm: float | None
    rub: Rub | None
    pointer_mm: float | None
    scuffs: tuple[Scuff, ...]
    laid: tuple[Overlay, ...]
    places: tuple[PressPlace, ...]
    presses: tuple[PressMade, ...]


def told_of(values: Values, ring: Ring, *, u_radius_mm: float | None, u_out_mm: float | None) -> Told:
    """Return what follows from a ring's shape and the questions of its form."""
    scuffs = scuffs_of(values.text("scuffs"), where="scuffs")
    pointer = values.maybe("pointer")
    rub, laid = None, tuple[Overlay, ...]()
    if pointer is not None:
        angle, radius = polar(ring.points_mm, ring.least_squares.centre_mm)
        with beside("points"):
            shape = profile(angle_deg=angle, radius_mm=radius)
        rub = rub_on_pointer(shape, pointer_radius_mm=pointer, pointer_deg=0.0, needed_mm=values.maybe("needed") or 0.0)
        laid = overlay(scuffs, shape, rub)
    return Told(
        u_radius_mm=u_radius_mm,
        u_out_mm=u_out_mm,
        rub=rub,
        pointer_mm=pointer,
        scuffs=scuffs,
        laid=laid,
        places=press_places(ring.harmonics, allowed_mm=values.maybe("allowed") or 0.0),
        presses=_presses(values.text("presses")),
    )


def _presses(text: str) -> tuple[PressMade, ...]:
    made = []
    for part in text.replace("\n", ";").split(";"):
        words = part.replace(", ", " ").split()
        if not words:
            continue
        if len(words) != 2:
            raise bad_input("presses", f"{part.strip()[:40]!r} is not two lengths", "write pushed and stayed: .30 .02")
        pushed, stayed = (parse_quantity(word, unit="mm", where="presses") for word in words)
        if not 0 <= stayed <= pushed:
            what = f"pushed {pushed:g} mm, stayed {stayed:g} mm"
            raise bad_input("presses", what, "how far it was pushed comes first, and is the larger")
        made.append(PressMade(pushed, stayed))
    return tuple(made)


def ring_sections(which: str, ring: Ring, told: Told, *, remarks: Sequence[str] = ()) -> tuple[Section, ...]:
    """Return the ring: its picture and roundness, where to press it, and its circles and lobes in numbers."""
    out = Reading(value=ring.minimum_zone.out_of_round_mm, unit="mm", standard_uncertainty=told.u_out_mm)
    picture = both(
        ring_picture, ring, scuffs=told.scuffs, rub=told.rub, pointer_radius_mm=told.pointer_mm, presses=told.places
    )
    first = Section(
        title=title_of(which),
        words=f"out of round {show_reading(out)}, by the minimum zone{_mainly(ring)}",
        pictures=picture,
        rows=(*_rub_rows(told), *_scuff_rows(told)),
        remarks=(*_doubt(out), *(f"{r.what}; {r.remedy}" for r in ring.remarks), *remarks),
        write=Choice("Write to the job", READING),
    )
    return (first, *_press_section(told), _circles(ring), *_lobes(ring))


def _mainly(ring: Ring) -> str:
    waves = [h for h in ring.harmonics if h.order > 1]
    if not waves:
        return ""
    largest = max(waves, key=lambda h: h.amplitude_mm)
    return f"; mostly {largest.word}, a lobe towards {deg_to_clock(largest.direction_deg)} o'clock"


def _doubt(out: Reading) -> tuple[str, ...]:
    if out.standard_uncertainty and (out.value or 0.0) <= 2 * out.standard_uncertainty:
        return ("this is within what the readings can tell: whether it is out of round at all cannot be told",)
    return ()


def _rub_rows(told: Told) -> tuple[Row, ...]:
    rub = told.rub
    if rub is None:
        return ()
    where = f"at {deg_to_clock(rub.place_deg)} o'clock on the ring"
    arcs = ", ".join(f"{deg_to_clock(end)} to {deg_to_clock(start)}" for start, end in rub.rubbing)
    rows = [Row(name="Nearest to the pointer", value=length(rub.clearance_mm), meaning=where)]
    if rub.short_mm:
        rows.append(Row(name="Short by", value=length(rub.short_mm), meaning=f"from {arcs} o'clock"))
    return tuple(rows)


def _scuff_rows(told: Told) -> tuple[Row, ...]:
    if told.rub is None and told.scuffs:
        return (Row(name="Scuffs", value="laid round the picture", meaning="give the pointer's radius to compare"),)
    says = {
        True: "it rubs there by its shape too",
        False: "nothing rubs there by the ring's shape: look for tilt, wobble, or a bent pointer",
    }
    return tuple(
        Row(
            name=f"Scuff, {deg_to_clock(one.scuff.to_deg)} to {deg_to_clock(one.scuff.from_deg)}",
            value=f"highest {length(one.deviation_mm)}",
            meaning=says[one.rubs_there],
        )
        for one in told.laid
    )


def _press_section(told: Told) -> tuple[Section, ...]:
    if not told.places:
        return ()
    learned = learn(told.presses)
    worst = told.places[0]
    push = next_push_mm(worst.shortfall_mm, learned, told.presses)
    known = UNKNOWN_SPRING_BACK
    if learned is not None:
        known = (
            f"from {learned.presses} presses: the first {length(learned.springs_back_mm)} of a push spring back, "
            f"of the rest {learned.stays_share:.0%} stays"
        )
    rows = tuple(
        Row(
            name=f"{n}. At {deg_to_clock(p.angle_deg)} o'clock",
            value=f"{p.way}, {length(p.shortfall_mm)}",
            meaning="must stay moved by so much" if n == 1 else "",
        )
        for n, p in enumerate(told.places[:4], start=1)
    )
    return (
        Section(
            title="Where to press",
            words=f"press {worst.way} at {deg_to_clock(worst.angle_deg)} o'clock; push {length(push)} next",
            rows=rows,
            remarks=(known, "between hardwood, a little at a time; after each press measure the whole ring anew"),
            cautions=(PRESS_CAUTION, LOADED_SPRING),
            write=Choice("Write as fault work", WORK),
        ),
    )


def work_text(which: str, ring: Ring, told: Told) -> str:
    """Return what is to be done to a ring, as an entry says it."""
    out = length(ring.minimum_zone.out_of_round_mm)
    places = "; ".join(
        f"{p.way} at {deg_to_clock(p.angle_deg)} o'clock by {p.shortfall_mm:.3f} mm" for p in told.places[:4]
    )
    rub = told.rub
    rubs = (
        f" Short of the pointer by {rub.short_mm:.3f} mm at {deg_to_clock(rub.place_deg)}."
        if rub and rub.short_mm
        else ""
    )
    pressed = f"To press, measuring after each: {places}." if places else "Nothing to press."
    return f"{which}: out of round {out}. {pressed}{rubs}"


def _circles(ring: Ring) -> Section:
    named: tuple[tuple[str, Circle | Zone | None], ...] = (
        ("least squares", ring.least_squares),
        ("minimum zone", ring.minimum_zone),
        ("circumscribed", ring.minimum_circumscribed),
        ("inscribed", ring.maximum_inscribed),
    )
    rows = tuple(
        (name, f"{c.centre_mm[0]:+.4f}", f"{c.centre_mm[1]:+.4f}", f"{2 * c.radius_mm:.4f}", f"{c.out_of_round_mm:.4f}")
        for name, c in named
        if c is not None
    )
    proof = ring.minimum_zone.certificate
    proved = "proved: no centre does better" if proof.proved else f"at most {proof.gap_mm:.2g} mm above the least"
    return Section(
        title="Four circles",
        table=Table(("circle", "centre x", "centre y", "diameter, mm", "out of round, mm"), rows),
        remarks=(f"minimum zone {proved}; {len(ring.points_mm)} places used; x to 3 o'clock, y to 12",),
        folded=True,
    )


def _lobes(ring: Ring) -> tuple[Section, ...]:
    if not ring.harmonics:
        return ()
    rows = tuple(
        (
            h.word,
            show_number(h.amplitude_mm, h.u_amplitude_mm or None)
            + (f" ± {show_number(h.u_amplitude_mm, h.u_amplitude_mm)}" if h.u_amplitude_mm else ""),
            ", ".join(deg_to_clock(h.direction_deg + k * 360 / h.order) for k in range(min(h.order, 3))),
        )
        for h in ring.harmonics[:_LOBES]
    )
    return (
        Section(
            title="Lobes",
            table=Table(("lobes", "height over the mean, mm", "towards, o'clock"), rows),
            folded=True,
        ),
    )
