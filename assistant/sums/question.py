"""
What a question is: its name, what it must be told, and what answers it.

Options, prompts and help are all made from this, so that they cannot disagree.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

from assistant.sums.answer import Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """Numbers between two bounds, in a unit named in words; the bounds catch a slipped digit."""

    unit: str
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One of a few words."""

    words: tuple[str, ...]


class Written(Enum):
    """What is written as in the conditions of the day: a wind as 250/15, a setting as 996 or 29.42."""

    WIND = "wind"
    SETTING = "setting"


Kind = Range | Choice | Written


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """
    One thing that a question must be told.

    `option` is its flag, `parameter` what the sum calls it. With a `default` it need not be given; neither
    when it is not `wanted`, which leaves out the part of the answer that needs it.
    """

    option: str
    parameter: str
    kind: Kind
    asks: str
    example: str
    default: str | None = None
    wanted: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question: its command, one line on it, its inputs in the order asked, and the sum."""

    name: str
    about: str
    inputs: tuple[Input, ...]
    answer: Callable[..., Answer]

    @property
    def example(self) -> str:
        """The options of an example that can be typed as it stands."""
        given = [item for item in self.inputs if item.default is None]
        return " ".join(f"--{item.option} {item.example}" for item in given)
