"""The proof list at the bench: one thing proved, said not to apply, or put off."""

from collections.abc import Iterable
from typing import Literal
from uuid import UUID

from asfound.bench.jobs import load_job
from asfound.book import Book
from asfound.job import Entry, Job, key
from asfound.job.bodies import Proof, ProofLater, Stage
from asfound.job.proving import line_called, proof_list
from asfound.problems import bad_input

Answer = Literal["within", "outside", "cannot tell", "not applicable", "later"]
ANSWERS: tuple[Answer, ...] = ("within", "outside", "cannot tell", "not applicable", "later")
_LONGEST_NAME = 200


def answer_proof(
    book: Book,
    job_id: UUID,
    *,
    name: str,
    answer: str,
    text: str = "",
    stage: Stage = "as left",
    instrument: str = "",
) -> Entry:
    """Write how one thing of the proof list stands, as it was seen and felt.

    Parameters
    ----------
    name : str
        Of a line of the list; any other is written as a proof beside it.
    answer : {"within", "outside", "cannot tell", "not applicable", "later"}
        The last puts it off: the handover asks again.
    instrument : str
        What it was proved with; found wrong later, it takes the proof with it.

    Raises
    ------
    BadInputError
        If the answer or the name is none.
    """
    said = next((one for one in ANSWERS if one == answer), None)
    if said is None:
        raise bad_input("answer", f"{answer[:40]!r} is no answer", f"say one of {', '.join(ANSWERS)}")
    if not name.strip():
        raise bad_input("name", "nothing is named", "name a line of the proof list")
    job = load_job(book, job_id)
    line = line_called(proof_list(job), name)
    what = line.name if line is not None else name
    if said == "later":
        return book.write(job_id, [ProofLater(what=what, text=text)])[0]
    parts = depends_on(job, line.wanted.words) if line is not None else ()
    used = _instrument(instrument) if said != "not applicable" else None
    proof = Proof(what=what, verdict=said, stage=stage, depends_on=parts, instrument=used, text=text)
    return book.write(job_id, [proof])[0]


def _instrument(said: str) -> str | None:
    name = " ".join(said.split())
    if len(name) > _LONGEST_NAME:
        raise bad_input("instrument", f"{name[:40]!r}… is too long for a name", f"at most {_LONGEST_NAME} characters")
    return name or None


def depends_on(job: Job, words: Iterable[str]) -> tuple[str, ...]:
    """Return the parts that make a proof stale when they are touched: those of the job with such a word in their names.

    The words themselves stand with them, for parts and adjusters that get a name only later.
    """
    wanted = tuple(words)
    parts = [part.name for part in job.parts.values() if any(word in key(part.name) for word in wanted)]
    return tuple({key(name): name for name in (*wanted, *parts)}.values())
