"""Light leaks in photographs."""

from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import Any, Literal

import click

from asfound.cli.output import columns, emit
from asfound.problems import bad_input
from asfound.quantity import parse_quantity

_FILE = click.Path(exists=True, dir_okay=False, path_type=Path)


@click.command()
@click.argument("photograph", type=_FILE)
@click.option("--after", type=_FILE, help="A second photograph, taken after the repair.")
@click.option("--film-strip", type=click.Choice(["negative", "positive"]), help="It is of a film strip, of this kind.")
@click.option("--not-moved", is_flag=True, help="The camera stood still between the two photographs.")
@click.option(
    "--mark", "marks", multiple=True, help="A point in both, in pixels: 120,80=131,84. Three or more are best."
)
@click.option("--other-exposure", is_flag=True, help="The second was not exposed as the first.")
@click.option("--shown", is_flag=True, help="A pinhole made on purpose, or a known leak, shows at this exposure.")
@click.option("--scale", help='Two points and their distance: "120,80 980,90 92mm".')
@click.option("--json", "as_json", is_flag=True, help="Print the same names as JSON.")
def leaks(
    photograph: Path,
    after: Path | None,
    film_strip: Literal["negative", "positive"] | None,
    not_moved: bool,
    marks: tuple[str, ...],
    other_exposure: bool,
    shown: bool,
    scale: str | None,
    as_json: bool,
) -> None:
    """Find the spots of light in a photograph of the bellows with a lamp inside, or of a film strip.

    A dark room, the lamp (an LED: a hot lamp burns bellows) inside, the camera on a tripod. With a second photograph,
    each spot is said to be closed, still there or new.
    """
    # Imported here because they take longer to start than the other shape commands to run.
    from asfound.bench.leaks import LeakQuestion, search_leaks

    if after is None and (not_moved or marks or other_exposure):
        raise bad_input(
            "--after", "there is no second photograph to lay over the first", "give one, or leave these out"
        )
    question = LeakQuestion(
        dark_spots=film_strip == "negative",
        not_moved=not_moved,
        marks=tuple(_mark(text) for text in marks),
        same_exposure=not other_exposure,
        shown_to_show=shown,
        scale=None if scale is None else _scale(scale),
    )
    paths = (photograph,) if after is None else (photograph, after)
    names = tuple(path.name for path in paths)
    found = search_leaks(paths, names, question, progress=lambda _share: None, cancelled=lambda: False)
    data = _data(found, names, film_strip)
    emit(data, _table(data), as_json=as_json)


def _point(text: str, where: str) -> tuple[float, float]:
    x, comma, y = text.strip().partition(",")
    try:
        place = (float(x), float(y)) if comma else None
    except ValueError:
        place = None
    if place is None or not all(abs(value) < 1e6 for value in place):
        raise bad_input(where, f"{text.strip()[:40]!r} is no place in pixels", "write it as in 120,80")
    return place


def _mark(text: str) -> tuple[tuple[float, float], tuple[float, float]]:
    first, equals, second = text.partition("=")
    if not equals:
        raise bad_input("--mark", f"{text[:60]!r} names one place", "write it as in 120,80=131,84")
    return _point(first, "--mark"), _point(second, "--mark")


def _scale(text: str) -> tuple[tuple[float, float], tuple[float, float], float]:
    words = text.split(maxsplit=2)
    if len(words) != 3:
        raise bad_input("--scale", f"{text[:60]!r} is no scale", 'write it as in "120,80 980,90 92mm"')
    distance = parse_quantity(words[2], unit="mm", where="--scale")
    if not 0 < distance < 1e5:
        raise bad_input("--scale", f"{words[2]!r} is no distance", "measure it again")
    return _point(words[0], "--scale"), _point(words[1], "--scale"), distance


def _data(found: Any, names: tuple[str, ...], film_strip: str | None) -> dict[str, Any]:
    from asfound.bench.leaks import numbered, spot_of

    last = found.last
    rows = [
        {
            "number": n,
            "state": one.state if found.compared else None,
            "x_px": one.at_px[0],
            "y_px": one.at_px[1],
            **{name: value for name, value in asdict(spot_of(one)).items() if name not in ("x_px", "y_px")},
            "fwhm_mm": None if last.mm_per_px is None else spot_of(one).fwhm_px * last.mm_per_px,
            "light_ratio": one.light_ratio,
            "why": one.why,
        }
        for n, one in numbered(found)
    ]
    return {
        "photographs": list(names),
        "film_strip": film_strip,
        "verdict": found.told.verdict,
        "words": found.told.words,
        "spots": rows,
        "points": [{"x_px": one.x_px, "y_px": one.y_px, "fwhm_px": one.fwhm_px} for one in last.points],
        "columns": last.columns,
        "rows": last.rows,
        "mm_per_px": last.mm_per_px,
        "least_contrast": last.least_contrast,
        "false_spots": last.false_spots,
        "reduced": last.reduced,
        "laid": None if found.laid is None else {"how": found.laid.how, "u_px": found.laid.u_px},
        "remarks": [*(str(problem) for problem in found.unlaid), *found.told.remarks],
    }


def _table(data: dict[str, Any]) -> Iterator[str]:
    yield f"{data['verdict']}: {data['words']}"
    compared = any(row["state"] for row in data["spots"])
    scaled = data["mm_per_px"] is not None
    head = ["spot", *(["state"] if compared else []), "x px", "y px", "size px", *(["mm"] if scaled else []), "light %"]
    rows = [
        [
            row["number"],
            *([row["state"]] if compared else []),
            f"{row['x_px']:.1f}",
            f"{row['y_px']:.1f}",
            f"{row['fwhm_px']:.1f}",
            *([f"{row['fwhm_mm']:.2f}"] if scaled else []),
            f"{100 * row['light_share']:.1f}",
        ]
        for row in data["spots"]
    ]
    if rows:
        yield from columns(head, rows)
    if data["laid"]:
        yield f"laid over one another {data['laid']['how']}"
    yield from (f"- {row['number']}: {row['why']}" for row in data["spots"] if row["why"])
    yield from (f"- {remark}" for remark in data["remarks"])
