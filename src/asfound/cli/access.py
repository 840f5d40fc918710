"""What must come off to reach a part, from the command line."""

from typing import Any

import click

from asfound.bench.access import AccessFound, access_on_job, access_on_model
from asfound.book import Book
from asfound.cli.book_option import with_book
from asfound.cli.output import columns, emit
from asfound.teardown.access import AccessStep


@click.command()
@with_book
@click.argument("names", nargs=-1, required=True, metavar="[JOB] PART...")
@click.option("--model", help="On a whole camera of this model, as its notes tell; then no JOB is named.")
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
def access(book: Book, names: tuple[str, ...], model: str | None, as_json: bool) -> None:
    """Say what must come off in a JOB to reach a PART (or several), with the least work.

    Minutes are those that the steps took; to them comes what chewed heads are likely to cost.
    """
    if model is None and len(names) < 2:
        raise click.UsageError("name a job and a part, or --model and a part")
    found = access_on_model(book, model, names) if model else access_on_job(book, names[0], names[1:])
    emit(_data(found), _table(found), as_json=as_json)


def _data(found: AccessFound) -> dict[str, Any]:
    access_ = found.access
    return {
        "parts": list(found.targets),
        "rests_on": found.rests_on,
        "steps": [_step_data(step) for step in access_.steps],
        "minutes": access_.minutes,
        "risk_minutes": access_.risk_minutes,
        "lower_bound": access_.lower_bound,
        "proved": access_.proved,
        "tools": list(access_.tools),
        "poses": list(access_.poses),
        "assumed": list(access_.assumed),
    }


def _step_data(step: AccessStep) -> dict[str, Any]:
    return {
        "part": step.part,
        "minutes": step.way.minutes,
        "risk_minutes": step.way.risk_minutes,
        "tool": step.way.tool,
        "pose": step.way.pose,
        "fasteners": [str(group) for group in step.way.fasteners],
        "assumed": step.way.assumed,
        "seen_on": step.way.seen_on,
    }


def _table(found: AccessFound) -> list[str]:
    access_ = found.access
    wanted = ", ".join(found.targets)
    if not access_.steps:
        return [f"To reach {wanted} nothing more must come off."]
    rows = [
        (
            n,
            step.part,
            f"{step.way.minutes:.1f}",
            f"{step.way.risk_minutes:.1f}",
            step.way.tool,
            step.way.pose,
            "; ".join(str(group) for group in step.way.fasteners),
        )
        for n, step in enumerate(access_.steps, start=1)
    ]
    sure = "the least there is" if access_.proved else f"the best found; none is below {access_.lower_bound:.0f} min"
    lines = [
        f"To reach {wanted}: {len(rows)} to take off, about {access_.minutes:.0f} min and "
        f"{access_.risk_minutes:.1f} min of risk for chewed heads; {sure}",
        f"as {found.rests_on} tell" + ("s" if found.rests_on.startswith("job") and "and" not in found.rests_on else ""),
        "",
        *columns(["", "part", "min", "risk", "tool", "pose", "fasteners"], rows),
    ]
    ready = [("tools", ", ".join(access_.tools)), ("poses", ", ".join(access_.poses))]
    lines += ["", *(f"Lay ready, {name}: {said}" for name, said in ready if said)] if any(s for _, s in ready) else []
    return lines + (["", "Assumed", *(f"  {line}" for line in access_.assumed)] if access_.assumed else [])
