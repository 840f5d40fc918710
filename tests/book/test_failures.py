"""A refusal of the disk says what to do about it."""

import errno
import os

import pytest

from asfound.book.failures import told_plainly
from asfound.problems import NotFoundError, Problem, StorageError


@pytest.mark.parametrize(
    ("number", "remedy"),
    [
        (errno.ENOSPC, "make room"),
        (errno.EDQUOT, "make room"),
        (errno.EROFS, "name another book"),
        (errno.EACCES, "give yourself the right"),
        (errno.EIO, "check the disk"),
        (errno.ENOENT, "check that the folder"),
    ],
)
def test_each_error_of_the_system_has_its_remedy(number: int, remedy: str) -> None:
    with pytest.raises(StorageError, match=f"the folder: .*{remedy}") as caught, told_plainly("the folder"):
        raise OSError(number, os.strerror(number))
    assert os.strerror(number) in str(caught.value)


def test_an_error_that_is_told_plainly_already_passes() -> None:
    error = NotFoundError(Problem("job", "there is no job", "open it"))
    with pytest.raises(NotFoundError) as caught, told_plainly("the folder"):
        raise error
    assert caught.value is error
