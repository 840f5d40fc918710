"""The proof list in plain words, for the owner of the camera."""

from asfound.job.proving.prooflist import ProofLine


def in_plain_words(line: ProofLine) -> str:
    """Return how one thing stands, in a sentence without a figure."""
    plain = line.wanted.plain
    about = plain if plain.startswith("that ") else f"{plain} is as it should be"
    what = about.removeprefix("that ")
    match line.standing:
        case "within":
            return f"Proved: {what}."
        case "outside":
            why = f" ({line.left.text})" if line.left is not None and line.left.text else ""
            return f"Not in order: {line.name}{why}."
        case "cannot tell":
            return f"The measurement cannot tell whether {what}."
        case "stale":
            wrong = line.left is not None and line.left.read_wrongly
            why = (
                "what it was proved with was found to read wrongly" if wrong else "something it depends on was touched"
            )
            return f"Whether {what} was proved, but {why} later: it counts as not proved."
        case "not applicable":
            return f"Does not apply to this camera: {line.name}."
        case "not said yet":
            return f"Nobody wrote down whether this camera has it: {line.name}."
        case _:
            return f"Not proved: {what}."
