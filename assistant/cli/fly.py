"""`leadradial fly`: a flight followed live."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from assistant.cli.conditions_options import takes_conditions
from assistant.cli.voice_options import (
    DEFAULT_PACE,
    PaceFlag,
    PiperFlag,
    SpeakerFlag,
    ToneFlag,
    VoiceFlag,
    VoiceOptions,
    VolumeFlag,
)

if TYPE_CHECKING:  # heavy; see conditions_options
    from assistant.preferences.settings import Settings

_EPILOG = """
\b
Type what the instruments read, when they read it, and a line for what you do:
  16.4 4800              range and altitude
  radial 042             established
  entering hold          leaving
  visual                 going around
  next                   altitude at four miles
Ctrl-D ends the flight. Callouts are spoken where there is a voice and a loudspeaker; with
--text they are only shown.

\b
Examples:
  leadradial fly procedures/skarrow-tacan-24.yaml --speaker headset --tone
  leadradial fly procedures/skarrow-tacan-24.yaml --text
  leadradial fly procedures/skarrow-tacan-24.yaml --text --wind 250/15 --wind 5000:260/25 --qnh 996
  leadradial fly procedures/skarrow-tacan-24.yaml --text --category D --speed final=150 --remember
  leadradial fly --resume flight.jsonl --text
"""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(fly)


@takes_conditions
def fly(
    file: Annotated[
        Path | None, typer.Argument(metavar="FILE", help="The procedure; not needed with --resume.")
    ] = None,
    *,
    text: Annotated[bool, typer.Option("--text", help="Type and read; no microphone, no voice.")] = False,
    glance: Annotated[
        bool, typer.Option("--glance", help="After what is said, a line: next event, altitude, floor.")
    ] = False,
    log: Annotated[
        Path | None, typer.Option(metavar="PATH", help="Where the flight log goes; must not exist yet.")
    ] = None,
    resume: Annotated[
        Path | None, typer.Option(metavar="LOG", help="Take up the flight of this log and go on with it.")
    ] = None,
    remember: Annotated[
        bool, typer.Option("--remember", help="Keep category, speeds, bank, datum, prompting for you.")
    ] = False,
    voice: VoiceFlag = "",
    piper: PiperFlag = None,
    speaker: SpeakerFlag = None,
    volume: VolumeFlag = 100,
    pace: PaceFlag = DEFAULT_PACE,
    tone: ToneFlag = False,
    microphone: Annotated[
        str | None, typer.Option(metavar="file:PATH", help="Hear this recording, as if spoken now.")
    ] = None,
    day: "Settings",
) -> None:
    """Fly an approach: report what you read; be told the next heading, descent or limit when it is due."""
    from assistant.cli import live_flight  # noqa: PLC0415  # heavy; --help must be instant

    heard = None
    if microphone is not None:
        from assistant.cli.microphone import open_microphone  # noqa: PLC0415  # see above

        heard = open_microphone(microphone)
    spoken = VoiceOptions(
        voice=voice, piper=piper, speaker=speaker, volume_percent=volume, words_per_minute=pace, tone=tone
    )
    cockpit = live_flight.Cockpit(voice=None if text else spoken, glance=glance, microphone=heard)
    if resume is not None:
        live_flight.resume(resume, file, day, new_log=log, cockpit=cockpit)
    else:
        live_flight.begin(file, day, log=log, cockpit=cockpit, remember_settings=remember)
