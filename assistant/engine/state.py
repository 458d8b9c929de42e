"""
What the engine knows between two events, as one frozen value.

Because a state is a value, "disregard" is one assignment, and a stage entered on dead reckoning can be taken
back when a report shows that the aircraft was not there yet.
"""

from dataclasses import dataclass
from typing import Any, NamedTuple

from assistant.engine.events import Datum, PositionReport
from assistant.engine.plan import Phase, Plan, Stage
from assistant.engine.timeline import Place, Timeline
from assistant.nav.geometry import PlanePoint


@dataclass(frozen=True, slots=True, kw_only=True)
class AltitudeKnown:
    """
    The altitude at a moment (ft above mean sea level) and how fast it is being lost since; `read_s` is the
    last reading.

    The moment is later than the reading where a descent was called in between.
    """

    altitude_ft: float
    t_s: float
    read_s: float
    descent_fpm: float = 0.0

    def at_ft(self, t_s: float, target_ft: float | None) -> float:
        """The altitude by dead reckoning: less what was lost since, not past the one called for."""
        reached_ft = self.altitude_ft - self.descent_fpm * max(t_s - self.t_s, 0.0) / 60.0
        if target_ft is None or self.descent_fpm == 0.0:
            return reached_ft
        if self.descent_fpm > 0.0:
            return max(reached_ft, min(target_ft, self.altitude_ft))
        return min(reached_ft, max(target_ft, self.altitude_ft))


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """A report that was challenged and not accepted: a second one that agrees with it is believed."""

    report: PositionReport
    item: str


class Joining(NamedTuple):
    """Where the turn on to an arc will begin, by the last report, and the heading with which."""

    point: PlanePoint
    heading_mag_deg: float


class Descent(NamedTuple):
    """A descent that was called, and what was known before: on which stage, by which cue, from what level."""

    stage_name: str
    cue: str
    target_ft: float | None
    altitude: AltitudeKnown | None


@dataclass(frozen=True, kw_only=True)
class State:
    """
    All that the engine knows. No slots: `but` copies the instance's dictionary.

    since_s: the last event that changed anything; nothing is due earlier. anchor_s, anchor_progress_s and
    rate: progress along the stage's timeline, `rate` faster than planned. observed_s: when a place was last
    shown by a report; ahead_s: how far that report may have put the aircraft too far on, in seconds.
    held_back: that report jumped by so much that it was believed only in part. headings: (when, heading)
    called on an arc, the last two. seen: when and where a radial and a range were last read together.
    range_before: the range read before the last one (dme_nm, at dme_s), and when.
    joining: None where the turn on to an arc begins as planned. target_ft: the altitude last called for.
    descent: how that came about, where by a descent.
    radial_asked_s: when the radial was asked for that has not been read since, on this leg.
    floor_carried_ft: the floor of a leg left without being established on it. lost: what the pilot insists on
    lies on no leg; only a radial and a range together, or a statement, end that. circuits_left: None while
    the pilot wants to stay in the hold. fired: cues of this stage already called. asked: questions and
    warnings given once. reached: the engine's time.
    """

    plan: Plan
    stage_name: str
    since_s: float = 0.0
    reached_s: float = 0.0
    entered_s: float = 0.0
    predicted: bool = False
    arrival: Stage | None = None
    anchor_s: float = 0.0
    anchor_progress_s: float = 0.0
    rate: float = 1.0
    observed_s: float | None = None
    ahead_s: float = 0.0
    headings: tuple[tuple[float, float], ...] = ()
    joining: Joining | None = None
    seen: tuple[float, PlanePoint] | None = None
    point: PlanePoint | None = None
    point_s: float = 0.0
    dme_nm: float | None = None
    dme_s: float = 0.0
    range_before: tuple[float, float] | None = None
    radial_deg: float | None = None
    heading_mag_deg: float | None = None
    altitude: AltitudeKnown | None = None
    target_ft: float | None = None
    descent: Descent | None = None
    datum: Datum = Datum.QNH
    held_back: bool = False
    established: bool = False
    radial_asked_s: float | None = None
    floor_carried_ft: float = 0.0
    lost: bool = False
    visual: bool = False
    ended: bool = False
    circuits_left: int | None = None
    fired: frozenset[str] = frozenset()
    asked: frozenset[str] = frozenset()
    doubt: Doubt | None = None
    confirmed: "State | None" = None
    before_report: "State | None" = None

    @property
    def stage(self) -> Stage:
        """The stage of the plan the flight is in; the arrival's is made in flight from the last report."""
        if self.arrival is not None and self.stage_name == self.arrival.name:
            return self.arrival
        return self.plan.stage(self.stage_name)

    @property
    def timeline(self) -> Timeline | None:
        """The nominal flight of the stage; None on an arrival while no place is known."""
        return self.stage.timeline

    def progress_s(self, t_s: float) -> float:
        """How far along the stage's timeline the flight is, by dead reckoning since the last report."""
        return self.anchor_progress_s + (t_s - self.anchor_s) * self.rate

    def time_of(self, progress_s: float) -> float:
        """When a place on the timeline is reached."""
        return self.anchor_s + (progress_s - self.anchor_progress_s) / self.rate

    @property
    def is_sight_asked(self) -> bool:
        """Whether the pilot was asked, on this final, if the runway is seen."""
        return self.stage.phase is Phase.FINAL and bool(self.asked & {"minimum", "visual"})

    def place(self, t_s: float) -> Place | None:
        """Where the aircraft is at a time, None while nothing is known."""
        timeline = self.timeline
        return None if timeline is None else timeline.at(self.progress_s(t_s))

    def age_s(self, t_s: float) -> float:
        """How old the last place shown by a report is; endless before the first."""
        return float("inf") if self.observed_s is None else max(t_s - self.observed_s, 0.0)

    def altitude_ft(self, t_s: float) -> float | None:
        """The altitude by dead reckoning from the last one read; None before one was."""
        return None if self.altitude is None else self.altitude.at_ft(t_s, self.target_ft)

    def without_history(self) -> "State":
        """The same knowledge without the states kept for going back: history is one step deep."""
        return self.but(before_report=None, confirmed=None)

    def but(self, **changes: Any) -> "State":  # noqa: ANN401 - any of the fields above, each with its own type
        """
        The same knowledge with some of it changed.

        What `dataclasses.replace` does, at a tenth of the cost: it is called a dozen times an event.
        TypeError for a name that is no field.
        """
        if not changes.keys() <= self.__dict__.keys():
            raise TypeError(f"a state has no {', '.join(sorted(changes.keys() - self.__dict__.keys()))}")
        changed = object.__new__(State)
        changed.__dict__.update(self.__dict__)
        changed.__dict__.update(changes)
        return changed
