"""
What a debrief says, as data: screen, page, JSON and the marks kept for progress are all made from this.

Angles are magnetic degrees; altitudes are ft above mean sea level on the day's QNH unless a text names
another datum.
"""

from dataclasses import dataclass
from enum import StrEnum


class Topic(StrEnum):
    """What a mark or a finding is about; what progress counts by."""

    FLOOR = "minimum altitudes"
    MINIMUM = "the minimum"
    ALTIMETER = "altimeter setting"
    TURN = "turning on time"
    ARC = "holding the arc"
    COURSE = "holding the course"
    ALTITUDE = "holding altitudes"
    SLOPE = "the final descent"
    REPORTS = "reporting"


@dataclass(frozen=True, slots=True, kw_only=True)
class EventRow:
    """
    One event of the flight.

    due_s: when the aircraft came to it, by reports and reckoning. called_s: when the assistant said it, None
    where it did not, with `not_called` saying why. reported_s: the first report or statement after it.
    acted_s: when what was due was begun, as far as the readings show; late_s is the difference. place: where
    it lay, in words. altitude_ft: what was flown there; floor_ft: what was not to be gone below after it.
    """

    number: int
    name: str
    place: str
    due_s: float
    called_s: float | None
    not_called: str
    reported_s: float | None
    acted_s: float | None
    late_s: float | None
    floor_ft: float | None
    altitude_ft: float | None = None
    east_nm: float | None = None
    north_nm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """
    One thing measured against its tolerance.

    worst: the worst value flown, in `unit`, off what was due; t_s: when. allowed: the tolerance in words.
    is_standard: whether the tolerance is the test standard's; else it is this program's own.
    """

    topic: Topic
    what: str
    worst: float
    unit: str
    allowed: str
    is_met: bool
    is_standard: bool
    t_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """
    Something that went wrong.

    size: how many times its tolerance (1 and more); weight: how much its topic matters (see `rating`).
    """

    topic: Topic
    t_s: float
    text: str
    size: float
    weight: float

    @property
    def cost(self) -> float:
        """What it counts when the next practice is chosen."""
        return self.weight * min(self.size, LARGEST_SIZE)


LARGEST_SIZE = 3.0
"""Past three times the tolerance a thing is wrong, however far."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """One of the things to practise first, in plain words, and what of this flight says so."""

    topic: Topic
    text: str
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DescentHeld:
    """
    The final descent as flown: rate meant for it, mean rate held, and the heights against the slope.

    off_slope_ft: (range, above the altitude due), in the order read.
    """

    planned_fpm: float
    held_fpm: float
    from_s: float
    to_s: float
    off_slope_ft: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """
    What came of the minimum.

    called_s: when it was called; decided_s: when the pilot said what was seen; decided: visual, going around,
    not visual, or nothing. lowest_ft: the lowest reading before that; minimum_ft: the day's minimum.
    """

    called_s: float | None
    decided_s: float | None
    decided: str
    lowest_ft: float | None
    minimum_ft: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Silence:
    """A time in which the pilot said nothing."""

    from_s: float
    lasted_s: float
    stage: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Conduct:
    """
    How the two talked.

    reports: readings heard; samples: from a feed; challenges: what was not believed, and when;
    misunderstood: what was not understood; asked_for: moments at which a report had to be asked for.
    """

    reports: int
    samples: int
    challenges: tuple[tuple[float, str], ...]
    misunderstood: tuple[tuple[float, str], ...]
    asked_for: tuple[tuple[float, str], ...]
    silences: tuple[Silence, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A point of the track; source is report, sample, reckoning or, of a simulation, truth."""

    t_s: float
    east_nm: float
    north_nm: float
    dme_nm: float
    radial_deg: float
    altitude_ft: float | None
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Debrief:
    """A whole debrief."""

    caution: str
    ident: str
    title: str
    edition: str
    started_utc: str
    origin: str
    conditions: tuple[str, ...]
    prompting: str
    standard: str
    standard_source: str
    duration_s: float
    ended: str
    notice: str | None
    events: tuple[EventRow, ...]
    marks: tuple[Mark, ...]
    findings: tuple[Finding, ...]
    practise: tuple[Practice, ...]
    descent: DescentHeld | None
    decision: Decision | None
    conduct: Conduct
    track: tuple[Place, ...]

    @property
    def marks_met(self) -> int:
        """How many marks were met."""
        return sum(mark.is_met for mark in self.marks)
