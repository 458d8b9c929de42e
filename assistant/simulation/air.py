"""
The air that a flight is flown in: wind by level with gusts, and true airspeed in the standard atmosphere.

Directions are magnetic, as everywhere in the plane that flights are reckoned in. Gusts are a first-order
Gauss-Markov process along and across the wind; its size as a share of the wind is common practice, no
source. The same seed gives the same air.
"""

from math import cos, exp, log, radians, sin, sqrt, tau
from random import Random

from assistant.engine.conditions import WindAtLevel
from assistant.nav.airspeed import tas_kt_from_ias
from assistant.nav.wind import wind_at_level

GUST_TIME_S = 20.0
_LAYER_FT = 500.0


class Air:
    """Wind and density at a level and a moment; asked with times that never go back."""

    def __init__(self, wind: tuple[WindAtLevel, ...], *, gust_share: float, seed: int) -> None:
        self._levels = [(level.altitude_ft, level.wind_from_mag_deg, level.wind_kt) for level in wind]
        self._gust_share = gust_share if self._levels else 0.0
        self._random = Random(seed)  # noqa: S311 - a simulated gust is no secret
        self._along, self._across, self._time_s = 0.0, 0.0, 0.0
        # What a gust keeps of itself over a step, and what is new: the steps are all alike.
        self._step_s, self._keep, self._size = 0.0, 1.0, 0.0
        self._steady: dict[int, tuple[float, float]] = {}
        self._tas: dict[tuple[int, int], float] = {}

    def wind_toward_kt(self, altitude_ft: float, time_s: float) -> tuple[float, float]:
        """East and north parts of the air's own movement, kt, toward where it blows."""
        layer = int(altitude_ft / _LAYER_FT)
        steady = self._steady.get(layer)
        if steady is None:
            steady = self._steady[layer] = self._steady_kt((layer + 0.5) * _LAYER_FT)
        east_kt, north_kt = steady
        if self._gust_share == 0.0:
            return east_kt, north_kt
        self._gust(time_s - self._time_s)
        self._time_s = time_s
        along, across = 1.0 + self._along, self._across
        return east_kt * along + north_kt * across, north_kt * along - east_kt * across

    def tas_kt(self, ias_kt: float, altitude_ft: float) -> float:
        """True airspeed for an indicated one, kt; to the nearest knot and layer of 500 ft."""
        key = (int(ias_kt), int(altitude_ft / _LAYER_FT))
        factor = self._tas.get(key)
        if factor is None:
            level_ft = max((key[1] + 0.5) * _LAYER_FT, 0.0)
            factor = self._tas[key] = tas_kt_from_ias(max(float(key[0]), 30.0), level_ft) / max(
                float(key[0]), 30.0
            )
        return ias_kt * factor

    def _steady_kt(self, altitude_ft: float) -> tuple[float, float]:
        if not self._levels:
            return 0.0, 0.0
        wind = wind_at_level(self._levels, altitude_ft)
        return (
            -wind.speed_kt * sin(radians(wind.from_deg)),
            -wind.speed_kt * cos(radians(wind.from_deg)),
        )

    def _gust(self, step_s: float) -> None:
        if step_s <= 0.0:
            return
        if step_s != self._step_s:
            keep = exp(-step_s / GUST_TIME_S)
            self._step_s, self._keep = step_s, keep
            self._size = self._gust_share * sqrt(1.0 - keep * keep)
        keep, size = self._keep, self._size
        # Two normal deviates by Box and Muller: `gauss` makes the same two in twice the time.
        turn_rad = self._random.random() * tau
        far = sqrt(-2.0 * log(1.0 - self._random.random()))
        self._along = keep * self._along + cos(turn_rad) * far * size
        self._across = keep * self._across + sin(turn_rad) * far * size
