"""Which recording of the job a task of the shutter is about."""

from uuid import UUID

from asfound.job import Job
from asfound.job.bodies import Recording
from asfound.problems import bad_input
from asfound.web.room import Asked
from asfound.web.room_form import Field


def recording_field(job: Job) -> Field:
    """Return the field that names a recording of sound or light, the latest unless another is chosen."""
    names = tuple(reversed(_by_name(job)))
    hint = "" if names else "none is kept yet: keep one on the page of the dial"
    return Field(
        name="recording", label="Recording", choices=names, default=names[0] if names else "", hint=hint, wide=True
    )


def chosen_recording(asked: Asked) -> tuple[UUID, Recording]:
    """Return the recording that was chosen.

    Raises
    ------
    BadInputError
        If there is none of this name.
    """
    found = _by_name(asked.job).get(asked.values.text("recording"))
    if found is None:
        raise bad_input("recording", "there is no such recording in this job", "keep one on the page of the dial")
    return found


def _by_name(job: Job) -> dict[str, tuple[UUID, Recording]]:
    kept = ((id_, body) for id_, body in job.recordings if body.sort != "video")
    return {
        f"entry {job.number(id_)}, {(body.caption or body.attachment.name)[:60]}": (id_, body) for id_, body in kept
    }
