"""The flags of a flight that is talked to."""

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from assistant.adapters.speech_in.talk_mode import TalkMode

MicrophoneFlag = Annotated[
    str | None,
    typer.Option(
        "--microphone",
        metavar="NAME",
        help="The microphone, by name; file:PATH hears a recording.",
    ),
]
TalkButtonFlag = Annotated[
    str | None,
    typer.Option("--talk-button", metavar="NAME:3", help="Talk by a joystick's button (devices --press)."),
]
TalkKeyFlag = Annotated[
    str | None, typer.Option("--talk-key", metavar="f9", help="Talk by a key, whatever window is in front.")
]
TalkModeFlag = Annotated[
    TalkMode, typer.Option("--talk", help="Talk while it is held, or from one press to the next.")
]
OpenFlag = Annotated[
    bool, typer.Option("--open-microphone", help="No switch: hear whenever somebody speaks.")
]
AddressFlag = Annotated[
    str,
    typer.Option("--address", metavar="WORD", help="Open microphone: only what begins so is for us."),
]
HeadphonesFlag = Annotated[
    bool, typer.Option("--headphones", help="Open microphone: listen while the voice speaks, too.")
]
RecogniserFlag = Annotated[
    str, typer.Option("--recogniser", metavar="NAME", help="pocketsphinx, or vosk with a model folder.")
]
ModelFlag = Annotated[Path | None, typer.Option("--model", metavar="FOLDER", help="The model, for vosk.")]
SecondOpinionFlag = Annotated[
    Path | None,
    typer.Option(
        "--second-opinion", metavar="FOLDER", help="A Whisper model, asked where there is a doubt; slower."
    ),
]

PilotFlag = Annotated[
    str | None,
    typer.Option("--pilot", metavar="NAME", help="Whose voice it is, as learned by leadradial enrol."),
]


@dataclass(frozen=True, slots=True, kw_only=True)
class MicrophoneOptions:
    """What was asked of hearing."""

    microphone: str | None = None
    talk_button: str | None = None
    talk_key: str | None = None
    talk_mode: TalkMode = TalkMode.HOLD
    is_open: bool = False
    address: str = ""
    has_headphones: bool = False
    recogniser: str = "pocketsphinx"
    model: Path | None = None
    second_opinion: Path | None = None
    own_voice: Path | None = None

    @property
    def is_wanted(self) -> bool:
        """Whether the flight is to be talked to at all."""
        return self.is_open or any((self.microphone, self.talk_button, self.talk_key))
