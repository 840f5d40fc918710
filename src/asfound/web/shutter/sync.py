"""Flash sync: the contact against the blades, from light and contact on two channels of one recording."""

from typing import cast

from asfound.bench.recordings import under_its_name
from asfound.bench.shutter import write_sync
from asfound.capture import inspect_sound
from asfound.capture.flash import FlashRecording, read_flash
from asfound.job import Entry, Job
from asfound.job.bodies import Stage
from asfound.plots.how_shutter import contact_and_lamp
from asfound.plots.sync import sync_picture
from asfound.problems import bad_input
from asfound.quantity import show_number, show_time
from asfound.quantity.tolerance import Verdict
from asfound.shutter import Firing
from asfound.shutter.timing.sync import Contact, Datum, Setting, SyncResult
from asfound.web.room import Asked, Choice, How, Section, Table, Task, both
from asfound.web.room_form import Field
from asfound.web.shutter.chosen import chosen_recording, recording_field

SETTINGS, DATA = ("X", "M"), ("blades start", "80 % open")
# Longer ones would keep the page waiting.
LONGEST_S = 300.0
CAPACITOR = (
    "a flash capacitor holds its charge long after it is switched off. Test the contact with a dry cell and a "
    "resistor, no flash fitted; never wire a flash to a sound input, and leave work on one to those trained for it"
)


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked: the recording, how the lever stood, and which channel is which."""
    return (
        recording_field(job),
        Field(name="setting", label="The lever stands at", default="X", choices=SETTINGS),
        Field(name="datum", label="For M, counted to", default=DATA[0], choices=DATA),
        Field(name="light", label="Light is on channel", unit="1", default="1"),
        Field(name="contact", label="The contact on", unit="1", default="2"),
    )


def sync_of_asked(asked: Asked) -> FlashRecording:
    """Return the contact of every firing.

    Raises
    ------
    BadInputError
        If the recording has not the channels, is too long for a page, or holds no firing.
    """
    _, body = chosen_recording(asked)
    light, contact = (_channel(asked.values[name], name) for name in ("light", "contact"))
    if light == contact:
        raise bad_input("contact", "light and contact cannot be on one channel", "give two channels")
    with under_its_name(asked.book.attachment_path(body.attachment.sha256), body.attachment.name) as path:
        sound = inspect_sound(path)
        if max(light, contact) >= sound.channels:
            what = f"light and contact need two channels, it has {sound.channels}"
            raise bad_input("recording", what, "record light and contact on the two channels of one file")
        if sound.duration_s > LONGEST_S:
            raise bad_input("recording", f"it is longer than {LONGEST_S / 60:.0f} minutes", "cut out the firings")
        return read_flash(
            path,
            setting=cast(Setting, asked.values.text("setting")),
            datum=cast(Datum, asked.values.text("datum")),
            light_channel=light,
            contact_channel=contact,
        )


def _channel(number: float, where: str) -> int:
    if number != int(number) or not 1 <= number <= 64:
        raise bad_input(where, f"{number:g} is no channel", "give a whole number from 1")
    return int(number) - 1


def work_out(asked: Asked) -> tuple[Section, ...]:
    """Return each firing's contact against its blades."""
    found = sync_of_asked(asked)
    return (
        Section(
            title=f"Flash contact at {asked.values.text('setting')}",
            verdict=worst(found.results),
            words=_result(found.results),
            pictures=both(sync_picture, found.light.firings, found.results),
            table=_table(found),
            cautions=(CAPACITOR,),
            write=Choice("Write it to the job"),
        ),
    )


def worst(results: tuple[SyncResult, ...]) -> Verdict:
    """Return the verdict over all firings: the worst of them."""
    verdicts = {result.verdict for result in results}
    order: tuple[Verdict, ...] = ("outside", "cannot tell", "within")
    return next(one for one in order if one in verdicts)


def _result(results: tuple[SyncResult, ...]) -> str:
    good = sum(result.verdict == "within" for result in results)
    return f"in order at {good} of {len(results)} firings"


def _table(found: FlashRecording) -> Table:
    pairs = zip(found.light.firings, found.results, strict=True)
    rows = tuple(_row(number, firing, result) for number, (firing, result) in enumerate(pairs, start=1))
    before = f"Before {found.results[0].datum}, ms" if found.results else "Before, ms"
    return Table(("Firing", "Time", before, "Stays closed", "Verdict", "Because"), rows)


def _row(number: int, firing: Firing, result: SyncResult) -> tuple[str, ...]:
    delay, time_s = "", firing.effective_s
    if result.delay_s is not None:
        u = (result.u_delay_s or 0.0) * 1e3
        delay = f"{show_number(result.delay_s * 1e3, u)} ± {show_number(u, u)}"
    return (
        str(number),
        "" if time_s is None else show_time(time_s, time_s / 50),
        delay,
        "" if result.contact is None else _stays(result.contact),
        result.verdict,
        result.reason,
    )


def _stays(contact: Contact) -> str:
    bounces = f", {contact.bounces} bounce{'s' if contact.bounces > 1 else ''}" if contact.bounces else ""
    return f"{show_number(contact.dwell_s * 1e3, significant=3)} ms{bounces}"


def write(asked: Asked, stage: Stage, _choice: str) -> tuple[Entry, ...]:
    """Write each firing's verdict down, the worst of them as the proof's."""
    found = sync_of_asked(asked)
    entry, body = chosen_recording(asked)
    each = " ".join(
        f"Firing {number}: {result.verdict}, {result.reason}." for number, result in enumerate(found.results, start=1)
    )
    about = f"entry {asked.job.number(entry)} ({body.attachment.name})"
    text = f"Flash contact at {asked.values.text('setting')}, {stage}, from {about}: {worst(found.results)}. {each}"
    return write_sync(asked.book, asked.job.id, verdict=worst(found.results), stage=stage, text=text[:15_000])


def how() -> How:
    """Say how light and contact are recorded together."""
    return How(
        pictures=both(contact_and_lamp),
        steps=(
            "Light through the shutter onto the sensor, on the first channel of the sound input.",
            "A dry cell and a resistor through the flash contact, divided down to a line level, on the second; no "
            "flash fitted.",
            "Fire each speed that a flash is used at; keep the recording on the page of the dial.",
        ),
        cautions=(CAPACITOR,),
    )


TASK = Task(
    path="sync",
    name="Flash sync",
    lead="When the flash contact closes, against the blades.",
    fields=fields,
    work_out=work_out,
    write=write,
    how=how,
    ask="Measure the contact",
)
