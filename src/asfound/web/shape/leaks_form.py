"""What is asked of leak photographs, and how it is read."""

from collections.abc import Mapping
from uuid import UUID

from asfound.bench.leaks import PROOFS, LeakQuestion, Of
from asfound.job import Job
from asfound.job.bodies import Photo
from asfound.problems import BadInputError, Problem, bad_input
from asfound.quantity import parse_quantity
from asfound.shape.leaks_pair import Point
from asfound.web.room_form import Field, Values, read_fields
from asfound.web.shape.common import depends_field

BELLOWS, NEGATIVE, POSITIVE = "bellows, lamp inside", "film strip, negative", "film strip, positive"
SIGHT, STOOD = "by what both show", "the camera stood still"
YES, NO = "yes", "no"
NOT_TRIED, SHOWN = "not tried", "yes, it shows"
_PAIR = "A second photograph"
_SCALE = "Scale"


def named(job: Job, id_: UUID, photo: Photo) -> str:
    """Return what a photograph is called in the list."""
    return " ".join(f"{job.number(id_)}: {(photo.caption or photo.attachment.name)[:60]}".split())


def fields(job: Job) -> tuple[Field, ...]:
    """Return what is asked of leak photographs."""
    photos = tuple(named(job, id_, photo) for id_, photo in reversed(job.photos))
    return (
        Field(name="photo", label="Photograph", choices=photos, optional=True, wide=True, hint="in the job already"),
        Field(name="of", label="It shows", default=BELLOWS, choices=(BELLOWS, NEGATIVE, POSITIVE)),
        Field(
            name="shown",
            label="A pinhole made on purpose shows at this exposure",
            default=NOT_TRIED,
            choices=(NOT_TRIED, SHOWN),
        ),
        Field(name="after", label="Taken after the repair", choices=photos, optional=True, wide=True, group=_PAIR),
        Field(name="lie", label="How the two lie", default=SIGHT, choices=(SIGHT, STOOD), group=_PAIR),
        Field(name="alike", label="Both exposed alike, same lamp", default=YES, choices=(YES, NO), group=_PAIR),
        Field(
            name="marks",
            label="Or points seen in both",
            optional=True,
            wide=True,
            hint="pixels of the first = of the second, as in 120,80=131,84; 900,85=912,90; three or more are best",
            group=_PAIR,
        ),
        Field(
            name="ends",
            label="Two points of the (first) photograph",
            optional=True,
            hint="pixels, as in 120,80 980,90; ends of the bellows' width",
            group=_SCALE,
        ),
        Field(name="apart", label="How far apart they are", unit="mm", optional=True, most=1e5, group=_SCALE),
        depends_field(job, *PROOFS.values(), default="bellows"),
    )


def photographs_of(job: Job, values: Values) -> tuple[tuple[UUID, Photo], ...]:
    """Return the photographs that were chosen, one or two, the first first.

    Raises
    ------
    BadInputError
        If none was, or one twice.
    """
    by_name = {named(job, id_, photo): (id_, photo) for id_, photo in job.photos}
    first, second = (by_name.get(values.text(name)) for name in ("photo", "after"))
    if first is None:
        raise bad_input("photo", "no photograph is chosen", "choose one, or send one in below")
    if second is None:
        return (first,)
    if first[0] == second[0]:
        raise bad_input("after", "it is the first photograph again", "choose another, or none")
    return first, second


def question_of(values: Values) -> LeakQuestion:
    """Return what is asked.

    Raises
    ------
    BadInputError
        At the field that is wrong.
    """
    return LeakQuestion(
        dark_spots=values.text("of") == NEGATIVE,
        not_moved=values.text("lie") == STOOD,
        marks=_marks(values.text("marks")),
        same_exposure=values.text("alike") == YES,
        shown_to_show=values.text("shown") == SHOWN,
        scale=_scale(values),
    )


def proof_of(values: Values) -> Of:
    """Return whether the bellows or the back is proved."""
    return "bellows" if values.text("of") == BELLOWS else "back"


def depends_of(values: Values) -> tuple[str, ...]:
    """Return what the proof rests on: what was typed; for a film strip the back, where nobody said otherwise."""
    names = tuple(name.strip() for name in values.text("depends").split(",") if name.strip())
    return ("back",) if proof_of(values) == "back" and names == ("bellows",) else names


def read(job: Job, typed: Mapping[str, str]) -> Values:
    """Return the values of the form as typed."""
    return read_fields(fields(job), typed)


def _marks(text: str) -> tuple[tuple[Point, Point], ...]:
    pairs = []
    for part in text.replace("\n", ";").split(";"):
        if not part.strip():
            continue
        first, equals, second = part.partition("=")
        if not equals:
            raise bad_input("marks", f"{part.strip()[:40]!r} names one place", "write it as in 120,80=131,84")
        pairs.append((_point(first, "marks"), _point(second, "marks")))
    return tuple(pairs)


def _scale(values: Values) -> tuple[Point, Point, float] | None:
    words, apart = values.text("ends").split(), values.maybe("apart")
    if not words and apart is None:
        return None
    if len(words) != 2 or apart is None:
        missing = "ends" if apart is not None else "apart"
        raise BadInputError(Problem(missing, "a scale is two points and their distance", "give both, or neither"))
    return _point(words[0], "ends"), _point(words[1], "ends"), apart


def _point(text: str, where: str) -> Point:
    x, comma, y = text.strip().partition(",")
    if not comma:
        raise bad_input(where, f"{text.strip()[:40]!r} is no place in pixels", "write it as in 120,80")
    return tuple(parse_quantity(one, unit="1", where=where) for one in (x, y))  # type: ignore[return-value]
