"""What became of a line."""

from dataclasses import dataclass

from asfound.job.bodies import AnyBody
from asfound.problems import Problem


@dataclass(frozen=True, slots=True)
class Understood:
    """What a line would write, in words and in bodies.

    Attributes
    ----------
    bodies : tuple
        What would be written. With problems it is the whole line as a note, offered so that nothing is lost.
    echo : str
        One line for people: what was understood.
    problems : tuple of Problem
        With their place in the text; a caller writes nothing then, unless the user keeps the note.
    as_note : bool
        The line is kept as it stands: free text, or a line with problems.
    hints : tuple of str
        Questions that stop nothing: "did you mean front ring?".
    """

    bodies: tuple[AnyBody, ...]
    echo: str
    problems: tuple[Problem, ...] = ()
    as_note: bool = False
    hints: tuple[str, ...] = ()
