"""
Asks a series of questions in which a bad answer is told why, and from which one can go back.

Going back asks the whole series again and gives the answers that were taken, silently, but for the last one.
So whoever asks need know nothing of it: what is asked next may depend on anything answered before.
"""

from collections.abc import Callable
from typing import TypeVar

BACK = "back"
"""The answer that goes back to the question before."""

Series = TypeVar("Series")


class WentBackError(Exception):
    """The series is to be asked again, without its last answer."""


class Asking:
    """`ask` takes a question and returns the answer as typed; `tell` takes a line to show."""

    def __init__(self, ask: Callable[[str], str], tell: Callable[[str], None]) -> None:
        self._ask = ask
        self._tell = tell
        self._taken: list[str] = []
        self._given = 0

    def through(self, series: Callable[[], Series]) -> Series:
        """What a series of questions comes to, however often it goes back."""
        while True:
            self._given = 0
            try:
                return series()
            except WentBackError:
                self._taken.pop()

    def tell(self, line: str) -> None:
        """Show a line, unless it was shown before going back."""
        if self._given == len(self._taken):
            self._tell(line)

    def answer(self, question: str, parse: Callable[[str], object], *, must: bool) -> object:
        """Ask until `parse` takes the answer (it raises ValueError); None for an empty one that may be."""
        if self._given < len(self._taken):
            text = self._taken[self._given]
            self._given += 1
            return parse(text) if text else None
        while True:
            text = self._ask(question).strip()
            if text.lower() == BACK:
                if self._taken:
                    raise WentBackError
                self._tell("  This is the first question.")
                continue
            if not text and must:
                self._tell("  This one is wanted.")
                continue
            try:
                value = parse(text) if text else None
            except ValueError as error:
                self._tell(f"  {error}")
                continue
            self._taken.append(text)
            self._given += 1
            return value
