"""
Trigger types: the moments at which a stage ends or a cue is due.

A trigger is data. Where it lies on a stage's nominal timeline is worked out once, when the plan is compiled
(`Timeline.when`); from then on "has it fired" and "when will it" are comparisons of progress along that
timeline. Only `AltitudeCrossed` cannot be placed on a timeline: it needs the altimeter. What the pilot states
ends a stage by way of the stage's `joined_by` (see `plan`), not by a trigger.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class RadialReached:
    """The aircraft crosses a radial."""

    radial_deg: float

    def __str__(self) -> str:
        return f"radial {round(self.radial_deg - 1) % 360 + 1:03d}"


@dataclass(frozen=True, slots=True, kw_only=True)
class DmeReached:
    """The range read comes down to (`closing`) or goes up to a value."""

    dme_nm: float
    closing: bool

    def __str__(self) -> str:
        return f"{self.dme_nm:.1f} DME {'closing' if self.closing else 'opening'}"


@dataclass(frozen=True, slots=True, kw_only=True)
class AltitudeCrossed:
    """The altitude above mean sea level is crossed."""

    altitude_ft: float
    descending: bool

    def __str__(self) -> str:
        return f"{self.altitude_ft:.0f} ft {'descending' if self.descending else 'climbing'}"


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeElapsed:
    """So many seconds since the stage began."""

    time_s: float

    def __str__(self) -> str:
        return f"{self.time_s:.0f} s"


Trigger = RadialReached | DmeReached | AltitudeCrossed | TimeElapsed
