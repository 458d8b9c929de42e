"""Settings given somewhere, laid over one another, and made into conditions for a procedure."""

from collections.abc import Iterable
from dataclasses import dataclass, fields, replace

from assistant.dialogue import Prompting
from assistant.engine.conditions import CATEGORY_SPEEDS, Conditions, WindAtLevel
from assistant.nav.altimetry import qnh_from_qfe_hpa
from assistant.preferences.values import READERS, REPEATED, SWITCHES, SettingError
from assistant.procedure.model import Category, Datum, Procedure

_STANDARD = Conditions()


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """
    What was given in one place (flags, a file), by name; None or empty where nothing was.

    wind: magnetic, by level. qnh, qfe: hPa. temperature: Celsius. speed: pairs of phase and kt.
    bank: degrees. minimum_addon: ft.
    """

    wind: tuple[WindAtLevel, ...] = ()
    qnh: float | None = None
    qfe: float | None = None
    temperature: float | None = None
    datum: Datum | None = None
    category: Category | None = None
    speed: tuple[tuple[str, float], ...] = ()
    bank: float | None = None
    minimum_addon: float | None = None
    lights_out: bool | None = None
    cold: bool | None = None
    prompting: Prompting | None = None

    def over(self, below: "Settings") -> "Settings":
        """These settings where given, the ones below elsewhere."""
        merged = {
            field.name: getattr(below, field.name) if given in (None, ()) else given
            for field in fields(self)
            for given in (getattr(self, field.name),)
        }
        # A pressure on either datum replaces the other, or yesterday's would contradict today's.
        if self.qnh is not None or self.qfe is not None:
            merged["qnh"], merged["qfe"] = self.qnh, self.qfe
        # Speeds belong to the category for which they were remembered.
        another_category = self.category is not None and self.category is not below.category
        merged["speed"] = self.speed if another_category else below.speed + self.speed
        return Settings(**merged)

    def pilots_own(self) -> "Settings":
        """The part that is the pilot's habit, not the day's weather or what is out of service there."""
        return replace(self, wind=(), qnh=None, qfe=None, temperature=None, lights_out=None, cold=None)

    def conditions(self, procedure: Procedure) -> Conditions:
        """The day's conditions; a QFE belongs to the procedure. SettingError where two contradict."""
        if self.qnh is not None and self.qfe is not None:
            raise SettingError(
                "qnh and qfe are both given", "give the one that is set; the other follows from the elevation"
            )
        qnh_hpa = self.qnh if self.qnh is not None else _STANDARD.qnh_hpa
        if self.qfe is not None:
            qnh_hpa = qnh_from_qfe_hpa(self.qfe, procedure.qfe_elevation_ft)
        category = self.category or _STANDARD.category
        return Conditions(
            wind=tuple(
                sorted((wind for wind in self.wind if wind.wind_kt > 0.0), key=lambda wind: wind.altitude_ft)
            ),
            qnh_hpa=qnh_hpa,
            temperature_c=self.temperature,
            datum=self.datum or (Datum.QNH if self.qfe is None else Datum.QFE),
            category=category,
            speeds=replace(
                CATEGORY_SPEEDS[category], **{f"{phase}_kt": speed_kt for phase, speed_kt in self.speed}
            ),
            bank_deg=_STANDARD.bank_deg if self.bank is None else self.bank,
            lights_out=bool(self.lights_out),
            minimum_addon_ft=_STANDARD.minimum_addon_ft if self.minimum_addon is None else self.minimum_addon,
            cold_corrections=bool(self.cold),
        )


def read_settings(given: Iterable[tuple[str, str]]) -> Settings:
    """
    Settings from pairs of name and text, in the order given.

    A setting of which there is one may come twice: the later counts, as with flags everywhere. A SettingError
    begins with the flag's name.
    """
    values: dict[str, object] = {}
    for name, text in given:
        try:
            value = READERS[name](text)
        except SettingError as error:
            raise SettingError(f"{flag(name)}: {error.problem}", error.remedy) from None
        values[name] = (*_several(values.get(name, ())), value) if name in REPEATED else value
    return Settings(**values)  # type: ignore[arg-type]  # READERS returns what the field of that name holds


def settings_from_flags(arguments: Iterable[str]) -> Settings:
    """Settings from words like `--wind 250/15 --lights-out`; SettingError with the first bad one."""
    given: list[tuple[str, str]] = []
    words = iter(arguments)
    for word in words:
        spelled, equals, text = word.partition("=")
        name = spelled.removeprefix("--").replace("-", "_")
        if not spelled.startswith("--") or name not in READERS:
            raise SettingError(
                f"{word!r} is no condition of the day", f"use {', '.join(flag(name) for name in READERS)}"
            )
        if not equals:
            text = "true" if name in SWITCHES else next(words, "")
        given.append((name, text))
    return read_settings(given)


def flag(name: str) -> str:
    """A setting's name as a flag."""
    return "--" + name.replace("_", "-")


def _several(values: object) -> tuple[object, ...]:
    return values if isinstance(values, tuple) else ()
