"""What a user can put right: a line a finding on standard error, exit status 2, never a traceback."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager

WRONG_INPUT = 2
"""Exit status where something that was given cannot be used."""

INTERRUPTED = 130
"""Exit status after Ctrl-C, as shells have it."""


class UserError(Exception):
    """Something that the user can put right; the message is one line and says how."""


@contextmanager
def told_in_one_line() -> Iterator[None]:
    """Turn what the user can put right into lines and exit status 2; a fault of the program passes."""
    try:
        yield
    except Exception as error:
        lines = _lines(error)
        if lines is None:
            raise
        for line in lines:
            print(line, file=sys.stderr)  # noqa: T201  # the command line's own output
        raise SystemExit(WRONG_INPUT) from None


def _lines(error: Exception) -> list[str] | None:
    """The lines to print of an error, None where it is no user's."""
    # Imported late: a --help must not load these, and whoever raised one of their errors has.
    from assistant.adapters.transcript_file import TranscriptError  # noqa: PLC0415  # see above
    from assistant.flight_log import LogError  # noqa: PLC0415  # see above
    from assistant.preferences.files import PreferencesError  # noqa: PLC0415  # see above
    from assistant.preferences.values import SettingError  # noqa: PLC0415  # see above
    from assistant.procedure.findings import ProcedureError  # noqa: PLC0415  # see above

    match error:
        case ProcedureError() | PreferencesError() | TranscriptError():
            return [str(finding) for finding in error.findings]
        case OSError():
            where = f"{error.filename}: " if error.filename is not None else ""
            return [f"{where}{error.strerror or error}."]
        case UserError() | LogError() | SettingError():
            return [str(error)]
        case _:
            return None
