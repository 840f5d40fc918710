"""Which donors may still have a part that is lost: by the words that were said of them."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from asfound.teardown.stock import Donor

# A side tells two parts of one camera from each other; a donor is often said to have "struts".
_SIDES = {"left", "right", "upper", "lower", "top", "bottom", "front", "rear", "inner", "outer", "the", "a", "of"}


@dataclass(frozen=True, slots=True, kw_only=True)
class DonorFit:
    """A donor that may have a part; `but` says what is to be looked at first, nothing where it was said outright."""

    donor: Donor
    but: tuple[str, ...]


def donors_with(stock: Sequence[Donor], part: str, *, models: Sequence[str] = ()) -> tuple[DonorFit, ...]:
    """Return the donors that may have a part, the surest first.

    A donor of which it was said that it has the part; and one of the same model of which nothing was said against it.
    Never one of which it was said that the part is gone. Words are compared without sides and endings of the plural:
    a donor that has "struts" may have the left strut, but no strut spring was said (common practice, no source).

    Parameters
    ----------
    models : sequence of str
        What the camera that lacks the part may be called: by its model alone, or with its maker.
    """
    fits = [_fit(donor, part, {_plain(model) for model in models}) for donor in stock]
    return tuple(sorted((fit for fit in fits if fit is not None), key=lambda fit: len(fit.but)))


def _fit(donor: Donor, part: str, models: set[str]) -> DonorFit | None:
    if _names(donor.gone, part):
        return None
    same = _plain(donor.camera) in models
    said = _names(donor.has, part)
    if not said and not same:
        return None
    but = () if said else ("nobody said whether it still has it",)
    return DonorFit(donor=donor, but=but if same else (*but, "another model: hold it against its place"))


def _names(said: str, part: str) -> bool:
    """Return whether one of the things said, with commas between, is the part."""
    wanted = _words(part)
    return any(words and words <= wanted and words >= wanted - _SIDES for words in map(_words, re.split("[,;]", said)))


def _words(text: str) -> set[str]:
    return {re.sub(r"(?<=[a-z]{3})s$", "", word) for word in re.findall(r"[\w-]+", text.casefold())}


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())
