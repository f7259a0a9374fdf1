"""The lock waits for as long as another holds it."""

import errno

import pytest

from trimscribe.archive import lock


def test_a_system_that_gives_up_waiting_is_asked_again() -> None:
    answers = [errno.EDEADLK, errno.EDEADLK, 0]

    def take() -> None:
        if number := answers.pop(0):
            raise OSError(number, "gave up")

    lock._until_taken(take)

    assert answers == []


def test_a_disk_that_knows_no_locks_is_not_asked_again() -> None:
    answers = [errno.ENOTSUP, 0]

    def take() -> None:
        raise OSError(answers.pop(0), "no locks here")

    with pytest.raises(OSError, match="no locks here"):
        lock._until_taken(take)

    assert answers == [0]
