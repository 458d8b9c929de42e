"""
Trigger types: the moments at which a stage ends or a cue is due.

A trigger is data. Where it lies on a stage's nominal timeline is worked out once, when the plan is compiled
(`Timeline.when`); from then on "has it fired" and "when will it" are comparisons of progress along that timeline.
Only `AltitudeCrossed` and `Stated` cannot be placed on a timeline: the first needs the altimeter, the second the pilot.
"""

from dataclasses import dataclass

from assistant.engine.events import Said


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """The pilot said so."""

    said: Said

    def __str__(self) -> str:
        return f"“{self.said.value.replace('_', ' ')}”"


Trigger = RadialReached | DmeReached | AltitudeCrossed | TimeElapsed | Stated
