"""`asfound line`: what a line typed at the bench is understood as."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any
from uuid import UUID

import click

from asfound.cli.output import emit
from asfound.job.bodies import AnyBody, Expectation, SpacerFound, StepTaken
from asfound.job.line import LineMemory, Understood, parse_line, remember
from asfound.problems import BadInputError, Problem


@click.command()
@click.argument("text", nargs=-1, required=True)
@click.option("--explain", is_flag=True, help="Say what would be written, and write nothing.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")
def line(text: tuple[str, ...], explain: bool, as_json: bool) -> None:
    """Read lines as typed at the bench; each remembers the ones before it, numbered from 1.

    A line that cannot be read as it stands ends with exit status 2; at the bench it would be offered as a note.
    """
    if not explain:
        raise click.UsageError("say --explain to see what a line would write")
    read = list(_in_turn(text))
    data = {"lines": [_as_data(typed, understood) for typed, understood in read]}
    emit(data, [row for typed, understood in read for row in _rows(typed, understood)], as_json=as_json)
    problems = list(_problems(read))
    if problems:
        raise BadInputError(*problems)


def _problems(read: list[tuple[str, Understood]]) -> Iterator[Problem]:
    """Yield every problem, with the number of its line where there are several."""
    for number, (_, understood) in enumerate(read, start=1):
        for problem in understood.problems:
            yield replace(problem, where=f"line {number}, {problem.where}") if len(read) > 1 else problem


def _in_turn(text: tuple[str, ...]) -> Iterator[tuple[str, Understood]]:
    memory = LineMemory()
    for typed in (given.encode("utf-8", "replace").decode() for given in text):
        understood = parse_line(typed, memory)
        yield typed, understood
        if not understood.problems:
            for body in understood.bodies:
                memory = _numbered(remember(memory, body), body)


def _numbered(memory: LineMemory, body: AnyBody) -> LineMemory:
    """Give the entry its number, and the step its own, as a new job would."""
    number = len(memory.entries) + 1
    entry = UUID(int=number)
    shown = _step_number(memory, body)
    return replace(
        memory,
        entries={**memory.entries, number: entry},
        steps={**memory.steps, shown: entry} if shown else memory.steps,
        step_parts={**memory.step_parts, entry: _name(body)} if shown else memory.step_parts,
        step=entry if shown else memory.step,
        expectations=(*memory.expectations, entry) if isinstance(body, Expectation) else memory.expectations,
        last_entry=entry,
    )


def _step_number(memory: LineMemory, body: AnyBody) -> str:
    """Return the number of the step that a body is; a spacer that belongs after step 2 is 2s1."""
    if isinstance(body, StepTaken) and body.action != "back":
        return str(1 + sum(number.isdigit() for number in memory.steps))
    if not isinstance(body, SpacerFound):
        return ""
    base = next((number for number, id_ in memory.steps.items() if id_ == body.belongs_after), "")
    base = base or next((number for number in reversed(list(memory.steps)) if number.isdigit()), "0")
    return f"{base}s{1 + sum(number.startswith(f'{base}s') for number in memory.steps)}"


def _name(body: AnyBody) -> str:
    return body.part if isinstance(body, StepTaken) else getattr(body, "name", "")


def _as_data(typed: str, understood: Understood) -> dict[str, Any]:
    return {
        "text": typed,
        "echo": understood.echo,
        "as_note": understood.as_note,
        "entries": [body.model_dump(mode="json") for body in understood.bodies],
        "problems": [_problem_data(problem) for problem in understood.problems],
        "hints": list(understood.hints),
    }


def _problem_data(problem: Problem) -> dict[str, Any]:
    span = None if problem.span is None else list(problem.span)
    return {"where": problem.where, "what": problem.what, "remedy": problem.remedy, "span": span}


def _rows(typed: str, understood: Understood) -> Iterator[str]:
    yield f"> {typed}"
    if understood.problems:
        for problem in understood.problems:
            yield from _pointer(problem)
        yield "  can be kept as a note"
        return
    yield f"  {understood.echo}"
    for hint in understood.hints:
        yield f"  ({hint})"


def _pointer(problem: Problem) -> Iterator[str]:
    """Yield a row of carets under the place, for a line that fits on a screen."""
    if problem.span is not None and problem.span[1] < 200:
        first, last = problem.span
        yield f"  {' ' * first}{'^' * max(1, last - first)}"
