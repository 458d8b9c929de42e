"""
The plan of an approach: stages in order, each with its nominal flight, floors, exits and cues, all data.

Theory. A procedure is a chain of events. Between two events the flight is in one *stage*. A stage has

- a timeline: its nominal flight in today's wind (see `timeline`); None for the arrival, which may come from
  anywhere;
- floors: altitudes not to be gone below, each until a point of the timeline, and possibly a higher one until
  the pilot is established;
- exits: trigger, place on the timeline, next stage, and the condition under which the exit is taken;
- cues: things to say, each at a place on the timeline, under a condition, for a limited time.

The engine (`core`) only walks this data. What differs between a hold, an arc and a missed approach is decided
by the compiler (`compiler` and its siblings), never in the engine. `leadradial check --plan` prints the same
data as a table.

Altitudes here are ft above mean sea level on today's QNH; geometry is in the flat magnetic frame of the
station.
"""

from bisect import bisect_left
from dataclasses import dataclass, field
from enum import StrEnum

from assistant.engine.conditions import Conditions
from assistant.engine.events import CalloutKind, Figures, Priority, Said
from assistant.engine.timeline import Timeline
from assistant.engine.triggers import Trigger
from assistant.nav.geometry import PlanePoint
from assistant.procedure.model import ArcDirection, Datum, EntrySector, Procedure, Turn

FOREVER_S = float("inf")
# Exits that lead to a hold name this; the engine picks the entry by the heading at the fix (see `Racetrack`).
HOLD_ENTRY = "hold_entry"


class PlanError(ValueError):
    """A procedure that cannot be planned for today's conditions, in one sentence with the remedy."""


class Phase(StrEnum):
    """The parts of an approach (ICAO segments)."""

    ARRIVAL = "arrival"
    HOLD = "hold"
    INITIAL = "initial"
    INTERMEDIATE = "intermediate"
    FINAL = "final"
    LANDING = "landing"
    MISSED = "missed approach"


class When(StrEnum):
    """Under which condition an exit is taken or a cue called."""

    ALWAYS = "always"
    STAYING = "staying in the hold"
    LEAVING = "leaving the hold"
    ESTABLISHED = "established"
    NOT_ESTABLISHED = "not established"
    RELEASED = "established, or no altitude waits for it"
    NOT_VISUAL = "not visual"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """
    Something to call at a place on the timeline.

    at_s: progress at which it is due, `lead_s` before its trigger. window_s: how long it may be called late
    because its condition came true late. needs_position: past the limit of age it becomes a request for a
    report. descends: it lets the aircraft go lower, so that dead reckoning alone calls it late rather than
    early. follows: the cue, called late perhaps, that it comes right after.
    """

    name: str
    at_s: float
    kind: CalloutKind
    priority: Priority
    figures: Figures = field(default_factory=Figures)
    trigger: Trigger | None = None
    lead_s: float = 0.0
    when: When = When.ALWAYS
    window_s: float = 6.0
    needs_position: bool = True
    descends: bool = False
    follows: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Floor:
    """An altitude not to be gone below, until a place on the timeline; `name` is what ends it."""

    altitude_ft: float
    until_s: float = FOREVER_S
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exit:
    """
    Where a stage ends and what follows.

    `at_s` is None where only a reading of altitude can show it; `event` where it differs from the stage's
    own.
    """

    trigger: Trigger
    to: str
    at_s: float | None
    when: When = When.ALWAYS
    event: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseFacts:
    """The course flown in a stage: for judging whether a report lies on it."""

    course_mag_deg: float
    anchor: PlanePoint


@dataclass(frozen=True, slots=True, kw_only=True)
class ArcFacts:
    """The arc flown in a stage."""

    arc_dme_nm: float
    direction: ArcDirection


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """
    One stage; see the head of this module. `event` names what ends it, `event_figures` where that is.

    `turns`: begins with a turn, `free_turn`: either way round, as the aircraft's own heading asks for.
    """

    name: str
    title: str
    phase: Phase
    timeline: Timeline | None
    tas_kt: float
    wind_from_mag_deg: float
    wind_kt: float
    target_ft: float | None
    floors: tuple[Floor, ...]
    floor_until_established_ft: float | None = None
    turns: bool = False
    free_turn: bool = False
    event: str = ""
    event_figures: Figures = field(default_factory=Figures)
    course: CourseFacts | None = None
    arc: ArcFacts | None = None
    joined_by: tuple[Said, ...] = ()
    passed_fix: str | None = None
    entry: EntrySector | None = None
    exits: tuple[Exit, ...] = ()
    cues: tuple[Cue, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Racetrack:
    """
    A hold or racetrack reversal that is entered by sector.

    The stage of each way in that the chart permits.
    """

    inbound_course_mag_deg: float
    turn: Turn
    entries: tuple[tuple[EntrySector, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """
    A procedure compiled for a day.

    profile: (range, altitude due) down the final approach, by range. threshold_s: when the final's timeline
    is over the threshold. published: the vertical values that the chart prints, to be said as printed.
    racetracks: by the name that exits leading to them use.
    """

    procedure: Procedure
    conditions: Conditions
    stages: tuple[Stage, ...]
    index: dict[str, int]
    first: str
    after_hold: str
    missed: str
    minimum_ft: float
    decision_ft: float
    profile: tuple[tuple[float, float], ...]
    final_gradient_ft_per_nm: float
    threshold_s: float
    published: frozenset[tuple[Datum, float]]
    racetracks: dict[str, Racetrack]

    def stage(self, name: str) -> Stage:
        """The stage of that name."""
        return self.stages[self.index[name]]

    def altitude_due_ft(self, dme_nm: float) -> float | None:
        """The altitude due at a range on the final approach, ft; None off its profile."""
        points = self.profile
        if not points or not points[0][0] - 0.05 <= dme_nm <= points[-1][0] + 0.05:
            return None
        i = min(max(bisect_left(points, (dme_nm,)), 1), len(points) - 1)
        (a_nm, a_ft), (b_nm, b_ft) = points[i - 1], points[i]
        return a_ft + (dme_nm - a_nm) / (b_nm - a_nm) * (b_ft - a_ft)
