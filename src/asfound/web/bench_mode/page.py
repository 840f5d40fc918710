"""What the page at arm's length shows."""

from collections.abc import Mapping
from dataclasses import dataclass

from asfound.job import Job
from asfound.job.cautions import DEFERENCE
from asfound.problems import Problem
from asfound.web.bench_mode.cards import Card, apart_card, cards_of, taking_apart
from asfound.web.bench_mode.timer import TimerForm, timer_form
from asfound.web.desk import Desk
from asfound.web.job_head import JobHead, job_head
from asfound.web.line_form import Echo, LineForm, line_form
from asfound.web.waits import WaitRow, in_time, wait_row
from asfound.web.wayback_page import BackRow, wayback_context


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchPage:
    """What the page at arm's length shows: a step of the way back, or a card, with its place among the others."""

    head: JobHead
    line: LineForm
    echo: Echo | None
    state: str
    step: BackRow | None
    card: Card | None
    done: int
    total: int
    at: int
    before: int | None
    after: int | None
    last_done: BackRow | None
    waiting: tuple[WaitRow, ...]
    timer: TimerForm
    deference: str


def bench_context(
    desk: Desk,
    job: Job,
    *,
    at: int = 0,
    turned: bool = False,
    line: LineForm | None = None,
    echo: Echo | None = None,
    typed: Mapping[str, str] | None = None,
    problems: tuple[Problem, ...] = (),
) -> BenchPage:
    """Return what lies at hand: the way back while parts are off, then what is left; `at` counts through the rest."""
    back = wayback_context(desk, job)
    apart = taking_apart(job) and not turned
    step = None if apart else back.next
    cards = () if step is not None else (apart_card(job),) if apart else cards_of(job)
    at = min(max(at, 0), len(cards) - 1) if cards else 0
    return BenchPage(
        head=job_head(job, "/bench"),
        line=line or line_form(job),
        echo=echo,
        state=str(job.state),
        step=step,
        card=cards[at] if cards else None,
        done=at if cards else back.done,
        total=len(cards) if cards else len(back.rows),
        at=at,
        before=at - 1 if at else None,
        after=at + 1 if at + 1 < len(cards) else None,
        last_done=back.last_done if step is not None else None,
        waiting=in_time(wait_row(waiting, desk.now_ms()) for waiting in job.waiting),
        timer=timer_form(job, typed, problems),
        deference=DEFERENCE,
    )
