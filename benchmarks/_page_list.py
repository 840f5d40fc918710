"""Every page of the bench book by its address, for all that goes over all of them; a test holds it to the routes."""

from typing import Final

OF_THE_BOOK: Final = ("/", "/drawer", "/instruments", "/devices", "/bundles")
# The first page of each room of a job, and what stands under it.
_ROOMS: Final = {
    "": (),
    "/bench": (),
    "/wayback": (),
    "/teardown": ("access", "ledger", "freed", "screw", "reach", "drivers"),
    "/shutter": ("live", "why", "trim", "stopped-down", "sync"),
    "/focus": (
        *("start", "datum", "spacers", "infinity", "scale", "photos", "effort", "front-cell"),
        *("rangefinder", "aperture"),
    ),
    "/springs": ("lever", "need", "remedies", "winding", "drawer", "compression", "extension", "leaf"),
    "/shape": ("stations", "ring", "photograph", "standard", "opened", "fit", "leaks"),
    "/findings": (),
    "/proofs": (),
    "/costs": ("account",),
    "/handover": (),
}
OF_A_PHOTOGRAPH: Final = "/photo/{photo_id}"
FIRST_OF_A_ROOM: Final = tuple(_ROOMS)
OF_A_JOB: Final = tuple(page for room, under in _ROOMS.items() for page in (room, *(f"{room}/{one}" for one in under)))
# Each of the others is made by the template of one of these.
OF_EACH_KIND: Final = (*FIRST_OF_A_ROOM, "/shutter/live", "/focus/photos", "/shape/leaks")
