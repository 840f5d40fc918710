"""The moves of adjusters between two dials, as a log that can be learned from."""

from typing import Any

from asfound.bench.shutter import moves_so_far, write_cause, write_move
from asfound.job.bodies import PartCondition, ShutterTable, SpeedRow
from asfound.shutter import read_adjusters, read_log


def table(time_s: float) -> ShutterTable:
    row = SpeedRow(
        marked="1/25", reference_s=0.04, times_s=(time_s, time_s), mean_s=time_s, error_stops=0.0, u_error_stops=0.01,
        tolerance_stops=0.33, verdict="within",
    )  # fmt: skip
    return ShutterTable(stage="working", rows=(row,), tolerance_source="common practice", depends_on=("shutter",))


def move(book: Any, job_id: Any, adjuster: str, amount: str = "") -> None:
    write_move(book, job_id, adjuster=adjuster, direction="deeper", amount=amount, before="", after="")


def test_a_move_between_two_dials_can_be_learned_from(practice_book: Any) -> None:
    book, job_id = practice_book, practice_book.jobs()[0].id
    book.write(job_id, [PartCondition(part="shutter", condition="dry")])
    book.write(job_id, [table(0.050)])
    move(book, job_id, "retard train", "0.25 turn")
    book.write(job_id, [table(0.042)])
    so_far = moves_so_far(book.job(job_id))
    adjusters, _ = read_adjusters("engagement, pallet")
    log, problems = read_log(so_far.log, adjusters=adjusters)
    assert not problems
    assert log is not None
    assert [(one.adjuster, one.amount) for one in log.moves] == [("engagement", 0.25)]
    assert log.moves[0].before_s[0] == 0.050
    assert log.moves[0].after_s[0] == 0.042


def test_two_moves_without_a_dial_between_them_teach_nothing(practice_book: Any) -> None:
    book, job_id = practice_book, practice_book.jobs()[0].id
    book.write(job_id, [table(0.050)])
    move(book, job_id, "engagement")
    move(book, job_id, "pallet")
    assert len(moves_so_far(book.job(job_id)).since) == 2
    book.write(job_id, [table(0.042)])
    assert moves_so_far(book.job(job_id)).log == "1/25: 42.00 ms, 42.00 ms"


def test_a_suspicion_stands_with_its_fault(practice_book: Any) -> None:
    job_id = practice_book.jobs()[0].id
    (entry,) = write_cause(practice_book, job_id, fault="speeds are off", text="engagement")
    assert (entry.body.kind, entry.body.stage) == ("fault", "suspected")
