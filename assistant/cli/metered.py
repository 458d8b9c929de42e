"""How loud a microphone is: a bar while the pilot speaks into it, then a sentence."""

import json
import sys
import time
from dataclasses import asdict

import typer

from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.level_meter import Level, LevelMeter, advice
from assistant.adapters.speech_in.microphone import Microphone
from assistant.cli.errors import UserError

_BAR = 40
_LOWEST_DB = -80.0
_DRAWN_EVERY_S = 0.1
_PRINTED_EVERY_S = 1.0


def show_level(name: str | None, duration_s: float, *, as_json: bool) -> None:
    """Show how loud a microphone is for some seconds or until Ctrl-C, then what that means for hearing."""
    meter = LevelMeter()
    try:
        microphone = Microphone(name, lambda sentence: typer.echo(sentence, err=True))
    except HearingError as error:
        raise UserError(str(error)) from error
    microphone.follow(lambda block, _position: meter.take(block))
    try:
        if not as_json:
            typer.echo(f"{microphone.name}: speak now, as in flight; {duration_s:.0f} s.")
        _wait(meter, duration_s, is_shown=not as_json)
    except KeyboardInterrupt:
        pass  # what was measured up to now is worth telling
    finally:
        microphone.close()
    level = meter.level
    if as_json:
        facts = {
            each: value if isinstance(value, bool) else round(value, 1)
            for each, value in asdict(level).items()
        }
        typer.echo(json.dumps({"microphone": microphone.name, **facts, "advice": advice(level)}))
    else:
        typer.echo(advice(level))


def _wait(meter: LevelMeter, duration_s: float, *, is_shown: bool) -> None:
    is_drawn = sys.stdout.isatty()
    until_s = time.monotonic() + duration_s
    while (left_s := until_s - time.monotonic()) > 0.0:
        time.sleep(min(left_s, _DRAWN_EVERY_S if is_drawn else _PRINTED_EVERY_S))
        if is_shown:
            typer.echo(f"\r{bar(meter.level)}" if is_drawn else bar(meter.level), nl=not is_drawn)
    if is_shown and is_drawn:
        typer.echo()


def bar(level: Level) -> str:
    """A line of constant width: the level as a bar with a mark at the noise, and the figures."""
    cells = ["#" if cell < _cell(level.now_db) else " " for cell in range(_BAR)]
    cells[min(_cell(level.noise_db), _BAR - 1)] = "|"
    end = "TOO LOUD" if level.is_clipped else ""
    figures = f"{level.now_db:4.0f} dB  peak {level.peak_db:4.0f}  noise {level.noise_db:4.0f}"
    return f"[{''.join(cells)}] {figures}  {end:8}"


def _cell(db: float) -> int:
    """How many cells of the bar a level fills."""
    return round(min(max((db - _LOWEST_DB) / -_LOWEST_DB, 0.0), 1.0) * _BAR)
