"""
What a sum comes to: figures, each exact and by the rule of thumb, and the source of both.

A figure's unit stands at the end of its name, as everywhere, and everything that is shown of it (unit,
decimals, three digits for a direction) follows from there.
"""

from dataclasses import dataclass

from assistant.nav.geometry import difference_deg, normalize_deg

# The longest ending that fits counts, so _ft_per_nm stands before _nm.
_ENDINGS = {
    "_ft_per_nm": (" ft/NM", 0),
    "_ft_per_hpa": (" ft/hPa", 1),
    "_nm_per_min": (" NM/min", 2),
    "_deg_s": ("°/s", 2),
    "_flight_level": ("", 1),
    "_transition_level": ("", 0),
    "_mach": ("", 3),
    "_percent": (" %", 2),
    "_fpm": (" ft/min", 0),
    "_hpa": (" hPa", 1),
    "_deg": ("°", 1),
    "_nm": (" NM", 2),
    "_kt": (" kt", 1),
    "_ft": (" ft", 0),
    "_s": (" s", 0),
    "_c": (" °C", 1),
}
_DIRECTIONS = ("heading_mag_deg", "track_mag_deg", "radial_deg")
NOTHING = "-"
"""Shown where there is no rule of thumb."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """
    One number of an answer: its name with the unit at the end, what it is in words, and its two values.

    `exact` is None where no exact value exists; `rule` and `rule_is` (the rule in words) where there is a
    rule of thumb.
    """

    name: str
    quantity: str
    exact: float | None
    rule: float | None = None
    rule_is: str = ""

    @property
    def unit(self) -> str:
        """The unit as it is printed after a number."""
        return self._ending()[0]

    @property
    def is_direction(self) -> bool:
        """Whether it is a direction, so that 359 and 1 are two degrees apart."""
        return self.name.endswith(_DIRECTIONS)

    @property
    def difference(self) -> float | None:
        """How much the rule gives more than the exact value (of directions: further clockwise)."""
        if self.exact is None or self.rule is None:
            return None
        return difference_deg(self.exact, self.rule) if self.is_direction else self.rule - self.exact

    def shown(self, value: float | None) -> str:
        """One of its values as it is printed."""
        if value is None:
            return NOTHING
        unit, decimals = self._ending()
        if not self.is_direction:
            return f"{_rounded(value, decimals):.{decimals}f}{unit}"
        # North is 360, and 359.96 is north too.
        degrees = round(normalize_deg(value), decimals)
        return f"{degrees if 0.0 < degrees <= 360.0 else 360.0:05.{decimals}f}{unit}"

    @property
    def difference_shown(self) -> str:
        """The difference as it is printed, with its sign."""
        if self.difference is None:
            return NOTHING
        unit, decimals = self._ending()
        return f"{_rounded(self.difference, decimals):+.{decimals}f}{unit}"

    def _ending(self) -> tuple[str, int]:
        return next(shape for ending, shape in _ENDINGS.items() if f"_{self.name}".endswith(ending))


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a question comes to; remarks are whole sentences, the source is one line."""

    figures: tuple[Figure, ...]
    source: str
    remarks: tuple[str, ...] = ()

    def figure(self, name: str) -> Figure:
        """The figure of that name; LookupError where the answer has none."""
        for figure in self.figures:
            if figure.name == name:
                return figure
        raise LookupError(f"the answer has no figure {name}")


def _rounded(value: float, decimals: int) -> float:
    """Rounded, without the minus of a rounded-away nothing."""
    return round(value, decimals) + 0.0
