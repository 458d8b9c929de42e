"""
Conditions of the day.

Wind, altimeter setting, speeds and what is out of service, as the plan needs them.
"""

from dataclasses import dataclass, field, replace

from assistant.procedure.model import Category, Datum


@dataclass(frozen=True, slots=True, kw_only=True)
class WindAtLevel:
    """The wind at one altitude above mean sea level; magnetic, blowing from."""

    wind_from_mag_deg: float
    wind_kt: float
    altitude_ft: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Speeds:
    """Indicated airspeeds by phase, kt."""

    hold_kt: float
    initial_kt: float
    intermediate_kt: float
    final_kt: float
    missed_kt: float


# Middle of the speed ranges of ICAO Doc 8168 Vol I, table of speeds for procedure calculations, by
# category; the choice inside the ranges is common practice, no source.
CATEGORY_SPEEDS = {
    Category.A: Speeds(hold_kt=100, initial_kt=110, intermediate_kt=100, final_kt=80, missed_kt=95),
    Category.B: Speeds(hold_kt=140, initial_kt=150, intermediate_kt=130, final_kt=105, missed_kt=130),
    Category.C: Speeds(hold_kt=210, initial_kt=210, intermediate_kt=180, final_kt=140, missed_kt=200),
    Category.D: Speeds(hold_kt=220, initial_kt=220, intermediate_kt=190, final_kt=155, missed_kt=220),
    Category.E: Speeds(hold_kt=230, initial_kt=230, intermediate_kt=200, final_kt=165, missed_kt=230),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """
    What today is like and how this aircraft is flown.

    wind: by level, empty for calm. qnh_hpa: sea-level setting. temperature_c: at the aerodrome, None for
    standard. datum: what the pilot sets below the transition altitude, QNH or QFE. bank_deg: the most bank
    used in turns. minimum_addon_ft: added to the minimum where "minimum" is called, since the aircraft sinks
    while the pilot decides. cold_corrections: the pilot asked for the temperature correction to enter the
    callouts.
    """

    wind: tuple[WindAtLevel, ...] = ()
    qnh_hpa: float = 1013.25
    temperature_c: float | None = None
    datum: Datum = Datum.QNH
    category: Category = Category.C
    speeds: Speeds = field(default=CATEGORY_SPEEDS[Category.C])
    bank_deg: float = 25.0
    lights_out: bool = False
    minimum_addon_ft: float = 50.0
    cold_corrections: bool = False

    def for_category(self, category: Category) -> "Conditions":
        """The same day flown in another category, at that category's usual speeds."""
        return replace(self, category=category, speeds=CATEGORY_SPEEDS[category])
