"""What commands read from disk: text, procedures, a pilot's remembered settings."""

from pathlib import Path

import platformdirs

from assistant.cli.errors import UserError
from assistant.conversation import Conversation
from assistant.dialogue import Dialogue, Prompting
from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions
from assistant.engine.plan import Plan, PlanError
from assistant.preferences.files import settings_from_yaml, yaml_from_settings
from assistant.preferences.settings import Settings
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Procedure

LARGEST_FILE = 64 * 1024 * 1024
"""Bytes; a flight log of ten hours is a tenth of this."""


def read_bytes(path: Path) -> bytes:
    """A file's bytes; OSError or UserError with one line on why it cannot be read."""
    if not path.is_file() and path.exists():
        raise UserError(f"{path}: not a file. Give the path of a file.")
    if path.exists() and path.stat().st_size > LARGEST_FILE:
        raise UserError(f"{path}: too large to be meant. Give another file.")
    return path.read_bytes()


def read_text(path: Path) -> str:
    """A file's text; OSError or UserError with one line on why it cannot be read."""
    try:
        return read_bytes(path).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise UserError(
            f"{path}: not text (byte {error.start} is no UTF-8). Save it as plain UTF-8."
        ) from None


def read_procedure_file(path: Path) -> tuple[Procedure, str]:
    """A procedure and its file's text; ProcedureError with every finding."""
    text = read_text(path)
    return load_procedure(text, str(path)), text


def printable(path: Path) -> str:
    """A path as text that any file and terminal can hold, even where its bytes are no text."""
    return str(path).encode("utf-8", errors="replace").decode("utf-8")


def conversation_for(procedure: Procedure, conditions: Conditions, prompting: Prompting) -> Conversation:
    """A new flight of a procedure; UserError where it cannot be flown in these conditions."""
    return Conversation(Dialogue(plan_for(procedure, conditions), prompting))


def plan_for(procedure: Procedure, conditions: Conditions) -> Plan:
    """A procedure planned for a day; UserError where it cannot be flown in these conditions."""
    try:
        return compile_plan(procedure, conditions)
    except PlanError as error:
        raise UserError(f"{error}.") from error


def pilot_file() -> Path:
    """Where the pilot's own settings are remembered."""
    return Path(platformdirs.user_config_dir("leadradial", appauthor=False)) / "pilot.yaml"


def remembered() -> Settings:
    """The pilot's own settings, none where nothing is remembered yet."""
    path = pilot_file()
    return settings_from_yaml(read_text(path), str(path)) if path.exists() else Settings()


def remember(settings: Settings) -> Path:
    """Keep the part of the settings that is the pilot's own, in place of what was remembered."""
    path = pilot_file()
    path.parent.mkdir(parents=True, exist_ok=True)
    written = path.with_suffix(".yaml.new")
    written.write_text(
        "# Remembered by leadradial --remember; flags and --conditions count over it.\n"
        + yaml_from_settings(settings.pilots_own()),
        encoding="utf-8",
    )
    written.replace(path)  # whole or not at all, should the program be killed here
    return path
