"""The practice job: an invented camera, as somebody would have typed it at the bench.

Camera, maker, owner and figures are made up. Each line is written through the quick line; a `Drawing` is added as a
photograph, a `Firings` is simulated, kept as a recording and measured.
"""

from dataclasses import dataclass

from asfound.job.bodies import Camera, Stage


@dataclass(frozen=True, slots=True)
class Drawing:
    """A line drawing added as a photograph."""

    name: str
    caption: str


@dataclass(frozen=True, slots=True)
class Firings:
    """A recording of three shots at each marked speed, this many stops off."""

    stage: Stage
    errors_stops: tuple[float, ...]
    seed: int


Item = str | Drawing | Firings

CAMERA = Camera(
    maker="Tarnbeck",
    model="Merle Six-Nine",
    serial="04417",
    film_format="6x9",
    focal_length_mm=105.0,
    largest_aperture=4.5,
    marked_speeds=("1", "1/2", "1/5", "1/10", "1/25", "1/50", "1/100", "1/250"),
    marked_apertures=(4.5, 5.6, 8.0, 11.0, 16.0, 22.0),
    shutter_kind="between the lens, retard train with pallet",
    focusing_kind="whole lens on a helical",
)
COMPLAINT = "The long times drag and sometimes stop half way. The front wobbles. The distance ring catches."

BEFORE: tuple[Item, ...] = (
    Drawing("front", "From the front, opened, struts locked"),
    "door open, struts locked, dirty, f/4.5, released",
    "fault slow speeds drag: 1 s runs near 2 s and stopped once half way",
    "fault front standard loose: moves under a finger, the left strut does not snap home",
    "fault distance ring catches: scuffed from 1 to 2 o'clock",
    "instrument feeler set, sort feelers, ±0.01 mm",
    "instrument depth gauge, sort depth gauge, ±0.01 mm",
    "instrument spring balance, sort balance, ±2 gf",
    "instrument light sensor, sort phototransistor on the line input",
    Firings("as found", (0.95, 0.90, 0.78, 0.62, 0.42, 0.18, 0.16, 0.22), seed=11),
    'read corner depth at "top left" 63.42 mm with depth gauge, depends on front standard and left strut, '
    "restore to ±0.05 by depth budget",
    'read corner depth at "top right" 63.40 mm, restore to ±0.05 by depth budget',
    'read corner depth at "bottom right" 63.38 mm, restore to ±0.05 by depth budget',
    'read corner depth at "bottom left" 63.61 mm',
    'read spring force at "left strut" 38 gf ±2 with spring balance, depends on left strut spring',
    'read spring force at "right strut" 61 gf ±2, depends on right strut spring',
    "suspect front standard loose: left strut spring weak, right one pulls half as much again",
)

TAKING_APART: tuple[Item, ...] = (
    "dial B, released",
    "off leather disc, held by adhesive, in tray A1, with thin blade: shellac, softened with a drop of alcohol",
    "slack set screws of distance ring by 1 turn, 3 grub screws M1.4 slot, with fine blade",
    Drawing("ring", "Distance ring at the infinity stop, before it came off"),
    "mark distance ring: infinity line stands under the pointer with the lens on its stop",
    "read gap at pointer 0.40 drag with feeler set, depends on distance ring, restore to ±0.05 by scuff clearance",
    "off distance ring, in tray A2, freed by 2",
    "expect this ring should free the name ring",
    "not held: the name ring has its own spanner holes",
    "off name ring, 1 ring spanner holes, in tray A3, with rubber plug",
    "off front cell, held by thread, in tray A4: counted 4 3/4 turns off",
    "mark front cell: red dot on its rim stands at 12 o'clock when home",
    "off speed ring, 3 screws M1.4x1.8 cheese slot, in tray A5, with fine blade",
    "mark speed ring: B stands against the red dot, tongue in the slot of the cam plate",
    "off cam plate, in tray A6, freed by 6",
    "off cover plate, 4 screws M1.4x2.4 countersunk slot, in tray B1: the longer pair sits by the cocking lever",
    Drawing("shutter", "Shutter with the cover off, released at B"),
    "off booster spring, in tray B2: let it down with a hook before lifting",
    "off cocking lever, 1 screw M1.7x2.2 cheese slot, in tray B3",
    "mark retard train: scribe line across foot and shutter plate",
    "off retard train, 2 screws M1.4x2 cheese slot, in tray B4, freed by 9 10",
    "off pallet, in tray B5, freed by 11",
    "condition retard train soaking in benzine",
    "condition pallet soaking in benzine",
    "off aperture lever, 1 screw M1.2x1.5 cheese slot, in tray B6",
    "off rear cell, held by thread, in tray C1: 3 1/4 turns, two lacquer dots broken",
    "off shutter retaining ring, 1 ring spanner holes, in tray C2, with wide spanner, face down",
    "off shutter, in tray C3",
    'read height at "12 o\'clock" 0.35 drag with feeler set, depends on helical, restore to ±0.03 by focus budget',
    'read height at "4 o\'clock" 0.35 drag, restore to ±0.03 by focus budget',
    'read height at "8 o\'clock" 0.35 loose 0.40 no, restore to ±0.03 by focus budget',
    Drawing("helical", "Helical in section: where the feeler goes"),
    "off stop screw, 1 screw M1.7x3 cheese slot lacquered, in tray C4",
    "read parting position 215 deg, depends on helical",
    "mark helical: scribe lines on both rings meet where the thread parts",
    "off helical, held by thread, in tray C5: four starts",
    "off left strut screw, 1 screw M2x4 pan slot, in tray D1",
    Drawing("strut", "Left strut, locked, with its torsion spring"),
    "off left strut spring, in tray D2: let down slowly, eye protection on",
    "off right strut screw, 1 screw M2x4 pan slot, in tray D3, freed by nothing",
    "off right strut spring, in tray D4, freed by 21",
    "off finder cover, 2 screws M1.4x2.5 raised slot, in tray D6, freed by nothing",
    "off bed spring plate, 2 screws M2x3 countersunk slot 1 chewed, in tray D5, freed by nothing",
    "spacer paper shim 0.10 mm ±0.005 between front cell and shutter, after 5, late, in tray A4: stuck to the cell",
    Drawing("shim", "The paper shim, where it belongs"),
)

WORK: tuple[Item, ...] = (
    "state dry",
    "condition retard train dry",
    "condition pallet dry",
    "fault slow speeds drag work: retard train and pallet washed, one drop of watch oil on the pallet pivots",
    "condition pallet lubricated with watch oil: pivots only",
    "condition helical dry",
    "condition helical lubricated with light helical grease",
    "fault front standard loose decision: re-form the left strut spring by an eighth of a turn",
    "adjust left strut spring 1/8 turn tighter",
    'read spring force at "left strut" 57 gf ±2 with spring balance working',
    "fault distance ring catches work: ring pressed round, 0.08 mm at 1:30",
)

GOING_BACK = ("bed spring plate", "right strut spring", "right strut screw", "left strut spring", "left strut screw")
HELICAL_BACK = ("helical", "stop screw", "shutter", "shutter retaining ring", "rear cell", "aperture lever")
SHUTTER_BACK = ("pallet", "retard train", "cocking lever", "booster spring", "cover plate", "cam plate", "speed ring")

AFTER_STRUTS: tuple[Item, ...] = (
    'read spring force at "left strut" 58 gf ±2 with spring balance as left, depends on left strut spring',
    "fault front standard loose proof: snaps home five times of five",
)
AFTER_HELICAL: tuple[Item, ...] = (
    'read corner depth at "top left" 63.42 mm with depth gauge as left, depends on helical',
    'read corner depth at "top right" 63.41 mm as left',
    'read corner depth at "bottom right" 63.39 mm as left',
    'read corner depth at "bottom left" 63.40 mm as left',
    'read height at "12 o\'clock" 0.35 drag with feeler set as left, depends on helical',
    'read height at "4 o\'clock" 0.35 drag as left',
    'read height at "8 o\'clock" 0.35 loose 0.40 no as left',
)
AFTER_SHUTTER: tuple[Item, ...] = (
    'adjust retard train in, amount "half the width of the scribe line"',
    Firings("as left", (0.12, 0.10, 0.06, 0.04, 0.08, 0.10, 0.13, 0.20), seed=12),
    "fault slow speeds drag proof: three shots at each speed, none stops",
)
