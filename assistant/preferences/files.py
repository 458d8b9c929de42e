"""
Settings on disk: the conditions of one day, and what is remembered of a pilot, in the same small YAML form.

    wind: [250/15, 5000:260/25]     # magnetic, blowing from
    qnh: 996                        # hPa, or inches: 29.42
    category: C
    speed: {final: 140, hold: 210}
"""

import difflib
from collections.abc import Iterator
from dataclasses import fields

import yaml

from assistant.engine.conditions import WindAtLevel
from assistant.preferences.settings import Settings
from assistant.preferences.values import READERS, REPEATED, SettingError
from assistant.procedure.findings import Finding, Path, ProcedureError, field_name, shown
from assistant.procedure.yaml12 import Document, read_yaml


class PreferencesError(Exception):
    """A file of settings that cannot be used; carries every finding."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__("\n".join(str(finding) for finding in findings))
        self.findings = findings


def settings_from_yaml(text: str, name: str) -> Settings:
    """The settings in a YAML text, which findings call `name`; PreferencesError with every finding."""
    if not text.strip():
        return Settings()
    try:
        document = read_yaml(text, name)
    except ProcedureError as error:
        raise PreferencesError(error.findings) from None
    if not isinstance(document.data, dict):
        raise PreferencesError(
            (_finding(document, (), "no settings in it", "write key: value, for example qnh: 996"),)
        )
    values: dict[str, object] = {}
    findings: list[Finding] = []
    for key, written in document.data.items():
        if key not in READERS:
            findings.append(_finding(document, (key,), "no such setting", _known_key(key)))
            continue
        read: list[object] = []
        for path, text_of_value in _texts(key, written):
            try:
                read.append(READERS[key](text_of_value))
            except SettingError as error:
                findings.append(_finding(document, path, error.problem, error.remedy))
        if read:
            values[key] = tuple(read) if key in REPEATED else read[-1]
    if findings:
        raise PreferencesError(tuple(findings))
    return Settings(**values)  # type: ignore[arg-type]  # READERS returns what the field of that name holds


def yaml_from_settings(settings: Settings) -> str:
    """Settings as the YAML text that reads back as them; what was not given is left out."""
    written: dict[str, object] = {}
    for field in fields(settings):
        value = getattr(settings, field.name)
        if value in (None, ()):
            continue
        if field.name == "wind":
            written["wind"] = [_wind_text(wind) for wind in settings.wind]
        elif field.name == "speed":
            written["speed"] = dict(settings.speed)
        elif isinstance(value, str):
            written[field.name] = str(value)  # a member of an enumeration, which YAML would not know
        else:
            written[field.name] = value
    return yaml.safe_dump(written, sort_keys=False, allow_unicode=True) if written else ""


def _wind_text(wind: WindAtLevel) -> str:
    level = f"{wind.altitude_ft:.0f}:" if wind.altitude_ft else ""
    return f"{level}{wind.wind_from_mag_deg:03.0f}/{wind.wind_kt:g}"


def _texts(key: str, written: object) -> Iterator[tuple[Path, str]]:
    """What is written under a key, each piece in the form that a flag would have."""
    if key == "speed" and isinstance(written, dict):
        yield from (((key, phase), f"{phase}={_text(speed_kt)}") for phase, speed_kt in written.items())
    elif key in REPEATED and isinstance(written, list):
        yield from (((key, index), _text(item)) for index, item in enumerate(written))
    else:
        yield (key,), _text(written)


def _text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    return str(value) if isinstance(value, str | int | float) else shown(value)


def _known_key(key: str) -> str:
    near = difflib.get_close_matches(key.replace("-", "_"), READERS, n=1)
    return f"write {near[0]}" if near else f"use {', '.join(READERS)}"


def _finding(document: Document, path: Path, problem: str, remedy: str) -> Finding:
    return Finding(
        file=document.name,
        line=document.line_of(path),
        field=field_name(path),
        problem=problem,
        remedy=remedy,
    )
