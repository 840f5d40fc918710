"""The tray: everything off the camera, each at its place."""

from typing import Any

from asfound.web.tray import tray_of


def test_every_part_that_is_off_lies_somewhere(practice_book: Any) -> None:
    job = practice_book.job(practice_book.jobs()[0].id)
    lying = [part.part for cell in tray_of(job) for part in cell.parts]
    assert sorted(lying) == sorted(s.part for s in job.steps if not s.back and s.action != "slackened")


def test_cells_come_in_their_order_then_names_then_what_nobody_said(
    bench: Any, job_path: str, practice_book: Any
) -> None:
    for part, where in (("a", "tray B10"), ("b", "tray B2"), ("c", "lies the drying box"), ("d", "")):
        bench.post(job_path + "/line", text=f"off test piece {part}, {where}".rstrip(", "))
    labels = [cell.label for cell in tray_of(practice_book.job(practice_book.jobs()[0].id))]
    assert labels.index("B2") < labels.index("B10") < labels.index("the drying box")
    assert labels[-1] == ""
    assert "not said where" in bench.get(job_path).text


def test_a_part_put_back_leaves_the_tray(bench: Any, job_path: str, practice_book: Any) -> None:
    bench.post(job_path + "/line", text="off test piece, tray F9")
    assert "F9" in bench.get(job_path).text
    bench.post(job_path + "/line", text="back test piece")
    job = practice_book.job(practice_book.jobs()[0].id)
    assert "F9" not in [cell.label for cell in tray_of(job)]
