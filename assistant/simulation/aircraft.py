"""What every simulated aircraft offers, whichever flight model flies it."""

from dataclasses import dataclass
from typing import Protocol

from assistant.nav.geometry import PlanePoint


@dataclass(slots=True, kw_only=True)
class Controls:
    """
    What the pilot wants of the aircraft.

    `turn` is the way round to the heading ("left", "right"), None for the shorter; the pilot takes it away
    when the turn is done. `vertical_fpm` is positive up and used until the altitude is reached.
    """

    heading_mag_deg: float
    turn: str | None
    bank_deg: float
    altitude_ft: float
    vertical_fpm: float
    ias_kt: float


@dataclass(slots=True, kw_only=True)
class Motion:
    """Where the aircraft truly is and how it moves; the plane is the station's, magnetic."""

    point: PlanePoint
    altitude_ft: float
    heading_mag_deg: float
    bank_deg: float
    vertical_fpm: float
    ias_kt: float
    groundspeed_kt: float


class Aircraft(Protocol):
    """A flight model: told what is wanted, moved on by time, asked where it is."""

    @property
    def motion(self) -> Motion:
        """Where it is now."""

    def advance(self, controls: Controls, step_s: float) -> None:
        """Fly on for a step of time, s, at most one second."""
