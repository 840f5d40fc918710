"""One-time codes that let a device in: short-lived, for one device, and only so many guesses."""

import hmac
import math
import secrets
import threading
import time
from collections import Counter, deque
from collections.abc import Callable
from dataclasses import dataclass

from asfound.problems import AsfoundError, Problem, bad_input

# Eight of thirty-two letters and figures that look like no other: one in 10^12.
LETTERS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
LENGTH = 8
GOOD_FOR_S = 300.0
# So many wrong codes from one address, and from all together, until some are as old as this.
FROM_ONE, FROM_ALL, WITHIN_S = 5, 20, 600.0


class WaitError(AsfoundError):
    """Too many tries; later ones are welcome (HTTP 429)."""


@dataclass(frozen=True, slots=True)
class Code:
    """A code as shown, "K7QF-3MXA", and how long it is still good."""

    text: str
    left_s: float


class Codes:
    """The code that is good now, if any, and the wrong ones that were tried lately. Lives as long as the server."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._code = ""
        self._until = 0.0
        self._wrong: deque[tuple[float, str]] = deque()

    def make(self) -> Code:
        """Return a new code; the one before it is good no longer."""
        with self._lock:
            self._code = "".join(secrets.choice(LETTERS) for _ in range(LENGTH))
            self._until = self._clock() + GOOD_FOR_S
            return Code(_shown(self._code), GOOD_FOR_S)

    def now(self) -> Code | None:
        """Return the code that is good now."""
        with self._lock:
            left_s = self._until - self._clock()
            return Code(_shown(self._code), left_s) if self._code and left_s > 0 else None

    def use(self, typed: str, *, address: str) -> None:
        """Use the code up, for one device.

        Raises
        ------
        WaitError
            If too many wrong codes came from this address, or from all together; what was typed is not looked at.
        BadInputError
            If it is not the code, or is good no longer.
        """
        with self._lock:
            now = self._clock()
            self._forget(now)
            self._refuse_guessing(now, address)
            good = bool(self._code) and now < self._until
            if not (good and hmac.compare_digest(_plain(typed).encode(), self._code.encode())):
                self._wrong.append((now, address))
                what = "this is not the code that is good now"
                raise bad_input("code", what, "make a new one on the bench computer and type that")
            self._code = ""

    def wrong(self) -> tuple[tuple[str, int], ...]:
        """Return the addresses from which wrong codes came lately, and how many from each."""
        with self._lock:
            self._forget(self._clock())
            return tuple(sorted(Counter(address for _, address in self._wrong).items()))

    def _forget(self, now: float) -> None:
        while self._wrong and now - self._wrong[0][0] >= WITHIN_S:
            self._wrong.popleft()

    def _refuse_guessing(self, now: float, address: str) -> None:
        own = [at for at, whose in self._wrong if whose == address]
        if len(own) >= FROM_ONE:
            raise _wait(own[-FROM_ONE] + WITHIN_S - now, "from this device")
        if len(self._wrong) >= FROM_ALL:
            raise _wait(self._wrong[-FROM_ALL][0] + WITHIN_S - now, "on this network")


def _shown(code: str) -> str:
    return f"{code[: LENGTH // 2]}-{code[LENGTH // 2 :]}"


def _plain(typed: str) -> str:
    """Return a code as typed without its dash and spaces, in capitals."""
    return "".join(letter for letter in typed.upper() if letter.isalnum())


def _wait(left_s: float, whence: str) -> WaitError:
    minutes = max(1, math.ceil(left_s / 60))
    wait = f"wait {minutes} minute{'s' if minutes > 1 else ''}, then use a new code"
    return WaitError(Problem("code", f"too many wrong codes were tried {whence}", wait))
