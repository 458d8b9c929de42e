"""Where the flights of `leadradial progress` are kept, and keeping them."""

from pathlib import Path

import platformdirs
import typer

from assistant.debrief.content import Debrief
from assistant.flight_log import FlightRecord, Origin
from assistant.progress.flights import kept
from assistant.progress.store import StoreError, opened


def store_path() -> Path:
    """The file in which flights are kept, its folder made."""
    folder = Path(platformdirs.user_data_dir("leadradial", appauthor=False))
    folder.mkdir(parents=True, exist_ok=True)
    return folder / "progress.sqlite3"


def keep_flight(record: FlightRecord, debrief: Debrief) -> None:
    """
    Keep a debriefed flight; where that is not possible the debrief goes on, and that is said.

    What a simulated pilot flew, or a transcript, is not the pilot's practice and is not kept.
    """
    if record.header.origin not in (Origin.LIVE, Origin.UNKNOWN):
        return
    try:
        with opened(store_path()) as store:
            store.keep(kept(record, debrief))
    except (StoreError, OSError) as error:
        typer.echo(f"Not kept for progress: {error}", err=True)
