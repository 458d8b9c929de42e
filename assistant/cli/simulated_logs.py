"""The flights of a campaign as flight logs, for `debrief` and `replay`."""

from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path

from assistant.cli.errors import UserError
from assistant.cli.inputs import printable
from assistant.cli.version import installed_version
from assistant.dialogue import Prompting
from assistant.flight_log import Header, Origin, header_line, record_line
from assistant.simulation.campaign import Flight


def write_logs(folder: Path, file: Path, text: str, flown: Iterable[Flight]) -> list[Path]:
    """
    Write a log of each flight into a folder, named by procedure and seed; where they were written.

    `text` is the procedure's file whole. UserError where the folder cannot be made or a log is there already.
    """
    started = datetime.now(UTC).isoformat(timespec="milliseconds")
    written: list[Path] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for flight in flown:
            if flight.logged is None:
                raise ValueError("a campaign without records has no logs")
            header = Header(
                leadradial=installed_version(),
                started_utc=started,
                procedure_name=printable(file),
                procedure_text=text,
                conditions=flight.logged.conditions,
                prompting=Prompting.FULL,
                origin=Origin.SIMULATION,
            )
            lines = [header_line(header), *map(record_line, flight.logged.records)]
            path = folder / f"{file.stem}-seed-{flight.measures.seed}.jsonl"
            with path.open("x", encoding="utf-8", newline="\n") as out:
                out.writelines(f"{line}\n" for line in lines)
            written.append(path)
    except FileExistsError as error:
        raise UserError(f"{error.filename}: exists already. Choose another folder for --log.") from None
    except OSError as error:
        raise UserError(f"--log: {error.filename}: {error.strerror}. Choose another folder.") from None
    return written
