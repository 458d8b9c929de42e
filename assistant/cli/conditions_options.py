"""
The flags that tell a command what today is like.

A command takes them by a decorator, so that `fly`, `replay`, `brief` and others have the same ones:

    @takes_conditions
    def brief(file: Path, *, day: "Settings") -> None: ...
"""

import functools
import inspect
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:  # everything heavy is imported by the commands themselves, so that --help is instant
    from assistant.preferences.settings import Settings


def _flags(
    *,
    wind: Annotated[
        list[str] | None,
        typer.Option(
            metavar="250/15",
            help="Wind: magnetic degrees, from, and knots; 5000:260/25 is at 5000 ft. Repeat for more.",
        ),
    ] = None,
    qnh: Annotated[str | None, typer.Option(metavar="996", help="QNH, hPa (or inches: 29.42).")] = None,
    qfe: Annotated[
        str | None, typer.Option(metavar="987", help="QFE instead, hPa; flown on QFE unless --datum qnh.")
    ] = None,
    temperature: Annotated[
        str | None, typer.Option(metavar="-5", help="At the aerodrome, degrees Celsius.")
    ] = None,
    datum: Annotated[
        str | None, typer.Option(metavar="qnh|qfe", help="What the altimeter is set to.")
    ] = None,
    category: Annotated[str | None, typer.Option(metavar="C", help="Approach category, A to E.")] = None,
    speed: Annotated[
        list[str] | None,
        typer.Option(
            metavar="final=140",
            help="Knots for hold, initial, intermediate, final or missed. Repeat for more.",
        ),
    ] = None,
    bank: Annotated[str | None, typer.Option(metavar="25", help="Most bank used in turns, degrees.")] = None,
    minimum_addon: Annotated[
        str | None, typer.Option(metavar="50", help="Feet above the minimum at which it is called.")
    ] = None,
    lights_out: Annotated[
        bool, typer.Option("--lights-out", help="Approach lights are out of service.")
    ] = False,
    cold: Annotated[
        bool, typer.Option("--cold", help="Let cold-temperature corrections enter the callouts.")
    ] = False,
    prompting: Annotated[
        str | None,
        typer.Option(
            metavar="full|normal|actions|silent|practice", help="How much is said; safety always is."
        ),
    ] = None,
    conditions: Annotated[
        Path | None,
        typer.Option(metavar="DAY.YAML", help="All these from a file; a flag given here counts instead."),
    ] = None,
) -> None:
    """Carry the flags' declarations; see `takes_conditions`."""


def takes_conditions(command: Callable[..., None]) -> Callable[..., None]:
    """
    Give a command all the flags in place of its keyword parameter `day`, which gets what they say.

    One that also has `wind_is_random` takes `--wind random`, which is what it gets without any wind.
    """
    flags = inspect.signature(_flags).parameters
    declared = inspect.signature(command).parameters
    own = {name: parameter for name, parameter in declared.items() if name not in ("day", "wind_is_random")}

    @functools.wraps(command)
    def with_flags(**values: Any) -> None:  # noqa: ANN401  # typer passes what it parsed
        given = {name: values.pop(name) for name in flags}
        if "wind_is_random" in declared:
            values["wind_is_random"] = given["wind"] in (None, [], ["random"])
            given["wind"] = None if values["wind_is_random"] else given["wind"]
        command(**values, day=_day(given))

    parameters = [
        parameter.replace(kind=inspect.Parameter.KEYWORD_ONLY)
        for parameter in (*own.values(), *flags.values())
    ]
    with_flags.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]  # what typer inspects
    with_flags.__annotations__ = {parameter.name: parameter.annotation for parameter in parameters}
    del with_flags.__wrapped__  # or inspection would go on to the command as it was
    return with_flags


def _day(given: dict[str, Any]) -> "Settings":
    from assistant.cli.inputs import read_text  # noqa: PLC0415  # heavy; see the top
    from assistant.preferences.files import settings_from_yaml  # noqa: PLC0415  # heavy
    from assistant.preferences.settings import read_settings  # noqa: PLC0415  # heavy

    path: Path | None = given.pop("conditions")
    pairs: list[tuple[str, str]] = []
    for name, value in given.items():
        texts = value if isinstance(value, list) else [value]
        pairs.extend((name, "true" if text is True else text) for text in texts if text not in (None, False))
    flags = read_settings(pairs)
    return flags if path is None else flags.over(settings_from_yaml(read_text(path), str(path)))
