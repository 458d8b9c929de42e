"""`leadradial fly`: a flight followed live."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from assistant.adapters.speech_in.talk_mode import TalkMode
from assistant.cli.conditions_options import takes_conditions
from assistant.cli.microphone_options import (
    AddressFlag,
    HeadphonesFlag,
    MicrophoneFlag,
    MicrophoneOptions,
    ModelFlag,
    OpenFlag,
    PilotFlag,
    RecogniserFlag,
    SecondOpinionFlag,
    TalkButtonFlag,
    TalkKeyFlag,
    TalkModeFlag,
)
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
To talk instead, name a button or key to hold while you talk, or a microphone, for which an
empty line begins to talk and the next one ends. The keyboard always works beside it.

\b
Examples:
  leadradial fly procedures/skarrow-tacan-24.yaml --speaker headset --tone
  leadradial fly procedures/skarrow-tacan-24.yaml --talk-button "Throttle:3"
  leadradial fly procedures/skarrow-tacan-24.yaml --open-microphone --address copilot
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
    text: Annotated[bool, typer.Option("--text", help="Only show the callouts; nothing is spoken.")] = False,
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
    microphone: MicrophoneFlag = None,
    talk_button: TalkButtonFlag = None,
    talk_key: TalkKeyFlag = None,
    talk: TalkModeFlag = TalkMode.HOLD,
    open_microphone: OpenFlag = False,
    address: AddressFlag = "",
    headphones: HeadphonesFlag = False,
    recogniser: RecogniserFlag = "pocketsphinx",
    model: ModelFlag = None,
    second_opinion: SecondOpinionFlag = None,
    pilot: PilotFlag = None,
    day: "Settings",
) -> None:
    """Fly an approach: report what you read; be told the next heading, descent or limit when it is due."""
    from assistant.cli import live_flight  # noqa: PLC0415  # heavy; --help must be instant
    from assistant.cli.flown import Cockpit  # noqa: PLC0415  # see above
    from assistant.cli.microphone import recording  # noqa: PLC0415  # see above
    from assistant.cli.own_voice import own_voice  # noqa: PLC0415  # see above

    spoken = VoiceOptions(
        voice=voice, piper=piper, speaker=speaker, volume_percent=volume, words_per_minute=pace, tone=tone
    )
    talked = MicrophoneOptions(
        microphone=microphone,
        talk_button=talk_button,
        talk_key=talk_key,
        talk_mode=talk,
        is_open=open_microphone,
        address=address,
        has_headphones=headphones,
        recogniser=recogniser,
        model=model,
        second_opinion=second_opinion,
        own_voice=own_voice(pilot),
    )
    cockpit = Cockpit(
        voice=None if text else spoken, glance=glance, microphone=talked, recording=recording(talked)
    )
    if resume is not None:
        live_flight.resume(resume, file, day, new_log=log, cockpit=cockpit)
    else:
        live_flight.begin(file, day, log=log, cockpit=cockpit, remember_settings=remember)
