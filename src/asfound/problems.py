"""What is wrong with an input, where, and what to do about it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault in something the user gave.

    Attributes
    ----------
    where : str
        The place in the input, in the user's terms: "line 3", "column 7", "--marked", a file's name.
    what : str
        What is wrong, with the value found and the range allowed.
    remedy : str
        What to do next.
    span : tuple of int, optional
        First and one-past-last character of the fault in the text, where the input is one text.
    """

    where: str
    what: str
    remedy: str
    span: tuple[int, int] | None = None

    def __str__(self) -> str:
        return f"{self.where}: {self.what}; {self.remedy}"


class AsfoundError(Exception):
    """Root of every error that a user may meet; carries its problems."""

    def __init__(self, *problems: Problem) -> None:
        super().__init__("\n".join(str(problem) for problem in problems))
        self.problems = problems

    def __reduce__(self) -> tuple[type["AsfoundError"], tuple[Problem, ...]]:
        """Cross from a worker process with the problems whole."""
        return type(self), self.problems


class BadInputError(AsfoundError):
    """Something the user gave cannot be used as it is (exit status 2, HTTP 422)."""


class NotFoundError(AsfoundError):
    """A name does not lead to anything in the book (exit status 2, HTTP 404)."""


class ConflictError(AsfoundError):
    """What is asked does not fit what is there already (exit status 2, HTTP 409)."""


class StorageError(AsfoundError):
    """The book's folder or database refuses (exit status 3, HTTP 507)."""


class StoppedError(AsfoundError):
    """Long work was stopped because the user asked for it."""


def bad_input(where: str, what: str, remedy: str) -> BadInputError:
    """Return the error for one problem; the caller raises it."""
    return BadInputError(Problem(where, what, remedy))
