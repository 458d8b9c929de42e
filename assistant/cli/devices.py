"""`leadradial devices`: what the machine has to be spoken and talked by, and what is missing."""

import importlib.util
import json
from typing import Annotated, Any

import typer

from assistant.cli.native_messages import native_messages_silenced

_EPILOG = """
\b
Examples:
  leadradial devices
  leadradial devices --json
  leadradial devices --press 20
  leadradial devices --meter 10 --microphone headset
"""


_UNITS = {"rate_hz": "{} Hz", "channels": "channels: {}"}
_EXTRAS = {"pocketsphinx": "hearing", "vosk": "vosk"}


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(devices)


def devices(
    *,
    press: Annotated[
        float | None,
        typer.Option(
            min=1.0, max=600.0, metavar="SECONDS", help="Show which button or key is pressed, to talk by it."
        ),
    ] = None,
    meter: Annotated[
        float | None,
        typer.Option(
            min=1.0, max=600.0, metavar="SECONDS", help="Show how loud a microphone is, and if that will do."
        ),
    ] = None,
    microphone: Annotated[
        str | None, typer.Option(metavar="NAME", help="With --meter: which, by name or a part of it.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="For scripts.")] = False,
) -> None:
    """List microphones, loudspeakers, English voices (with --json all), joysticks; say what is missing."""
    from assistant.cli.metered import show_level  # noqa: PLC0415  # only this command's
    from assistant.cli.pressed import show_presses  # noqa: PLC0415  # only this command's

    if meter is not None:
        show_level(microphone, meter, as_json=as_json)
        return
    if press is not None:
        show_presses(press)
        return
    with native_messages_silenced():
        found = _found()
    if as_json:
        typer.echo(json.dumps(found, ensure_ascii=False, indent=2))
        return
    for title, entries in found.items():
        typer.echo(f"{title.capitalize()}:")
        if isinstance(entries, str):
            typer.echo(f"  {entries}")
            continue
        for entry in entries:
            if not entry.pop("english", True):
                continue
            mark = "*" if entry.get("default") else " "
            rest = ", ".join(
                _UNITS.get(key, "{}").format(value)
                for key, value in entry.items()
                if key not in ("name", "id", "default")
            )
            first = entry.get("id") or entry["name"]
            more = ", ".join(filter(None, (entry["name"] if "id" in entry else "", rest)))
            typer.echo(f"{mark} {first}{f'  ({more})' if more else ''}")
    typer.echo("* is used where you name no other.")


def _found() -> dict[str, list[dict[str, Any]] | str]:
    """All there is, by kind; a sentence for a kind of which there is nothing."""
    from assistant.cli.pressed import joystick_entries  # noqa: PLC0415  # only this command's

    return {
        "microphones": _microphones(),
        **_loudspeakers(),
        **_voices(),
        "recognisers": _recognisers(),
        "joysticks": joystick_entries(),
    }


def _microphones() -> list[dict[str, Any]] | str:
    """The microphones, the one that is used without a name marked; a sentence where there are none."""
    from assistant.adapters.speech_in.errors import HearingError  # noqa: PLC0415  # only this command's
    from assistant.adapters.speech_in.microphones import input_devices  # noqa: PLC0415  # heavy

    try:
        found = input_devices()
    except HearingError as error:
        return str(error)
    return [
        {
            "name": device.name,
            "interface": device.interface,
            "rate_hz": round(device.rate_hz),
            "channels": device.channels,
            "default": device.is_default,
        }
        for device in found
    ] or "none on this machine"


def _recognisers() -> list[dict[str, Any]] | str:
    """What can hear, with the models that were found."""
    from assistant.adapters.speech_in.choosing import NAMES  # noqa: PLC0415  # heavy
    from assistant.adapters.speech_in.vosk_folders import found_folders  # noqa: PLC0415  # heavy

    def entry(name: str) -> dict[str, Any]:
        is_there = importlib.util.find_spec(name) is not None
        models = [str(folder) for folder in found_folders()] if name == "vosk" else ["bundled"]
        lacking = f'needs the extra "{_EXTRAS[name]}"' if not is_there else ""
        state = lacking or ", ".join(models) or "no model: leadradial voice-model"
        return {"name": name, "default": name == NAMES[0], "model": state}

    return [entry(name) for name in NAMES]


def _loudspeakers() -> dict[str, list[dict[str, Any]] | str]:
    """The loudspeakers, or why there are none."""
    from assistant.adapters.speech_out.devices import output_devices  # noqa: PLC0415  # heavy
    from assistant.adapters.speech_out.errors import VoiceUnavailable  # noqa: PLC0415  # heavy

    try:
        found = output_devices()
    except VoiceUnavailable as unavailable:
        return {"loudspeakers": str(unavailable)}
    if not found:
        return {"loudspeakers": "none on this machine"}
    return {
        "loudspeakers": [
            {"name": device.name, "interface": device.interface, "default": device.is_default}
            for device in found
        ]
    }


def _voices() -> dict[str, list[dict[str, Any]] | str]:
    """The system's voices, or why there are none."""
    from assistant.adapters.speech_out.errors import VoiceUnavailable  # noqa: PLC0415  # heavy
    from assistant.adapters.speech_out.rendering import Pyttsx3Renderer  # noqa: PLC0415  # heavy

    renderer = Pyttsx3Renderer()
    try:
        voices = renderer.voices()
        return {
            "voices": [
                {
                    "id": voice.ident,
                    "name": voice.name,
                    "english": voice.is_english,
                    "default": voice.is_default,
                }
                for voice in voices
            ]
        }
    except VoiceUnavailable as unavailable:
        return {"voices": str(unavailable)}
    finally:
        renderer.close()
