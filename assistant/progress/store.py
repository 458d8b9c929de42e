"""
The flights kept, in one SQLite file.

Nothing of it leaves the machine. What is deleted is overwritten. A file that a newer version made, or that is
no such file, is refused with a sentence.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from assistant.debrief.content import Topic
from assistant.progress.flights import KeptFlight, TopicMarks

SCHEMA = 1
_TABLES = """
CREATE TABLE flights (
    ident TEXT PRIMARY KEY, started_utc TEXT NOT NULL, procedure TEXT NOT NULL, title TEXT NOT NULL,
    origin TEXT NOT NULL, standard TEXT NOT NULL, wind_kt REAL NOT NULL, prompting TEXT NOT NULL,
    ended TEXT NOT NULL
) STRICT;
CREATE TABLE topics (
    flight TEXT NOT NULL REFERENCES flights (ident) ON DELETE CASCADE, topic TEXT NOT NULL,
    met INTEGER NOT NULL, marks INTEGER NOT NULL, cost REAL NOT NULL, PRIMARY KEY (flight, topic)
) STRICT;
"""


class StoreError(Exception):
    """The file of flights cannot be used; the message is one line with a remedy."""


@contextmanager
def opened(path: Path) -> Iterator["Store"]:
    """The store in a file, made where there is none; its folder must exist. StoreError where it is no use."""
    try:
        connection = sqlite3.connect(path)
        try:
            yield Store(connection, path)
            connection.commit()
        finally:
            connection.close()
    except sqlite3.Error as error:
        raise StoreError(
            f"{path}: the flights kept there cannot be read ({error}); move the file away to begin anew."
        ) from error


class Store:
    """Flights in a database that is open."""

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self._connection = connection
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA secure_delete = ON")
        (version,) = connection.execute("PRAGMA user_version").fetchone()
        if version > SCHEMA:
            raise StoreError(
                f"{path}: kept by a newer leadradial (form {version}, this reads {SCHEMA}); update it."
            )
        if version == 0:
            connection.executescript(_TABLES)
            connection.execute(f"PRAGMA user_version = {SCHEMA}")

    def keep(self, flight: KeptFlight) -> None:
        """Keep a flight, in place of what was kept of the same."""
        with self._connection:
            self._connection.execute("DELETE FROM flights WHERE ident = ?", (flight.ident,))
            self._connection.execute(
                "INSERT INTO flights VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (
                    flight.ident,
                    flight.started_utc,
                    flight.procedure,
                    flight.title,
                    flight.origin,
                    flight.standard,
                    flight.wind_kt,
                    flight.prompting,
                    flight.ended,
                ),
            )
            self._connection.executemany(
                "INSERT INTO topics VALUES (?, ?, ?, ?, ?)",
                [(flight.ident, t.topic.value, t.met, t.marks, t.cost) for t in flight.topics],
            )

    def flights(self) -> tuple[KeptFlight, ...]:
        """Every flight, oldest first."""
        topics: dict[str, list[TopicMarks]] = {}
        known = {topic.value: topic for topic in Topic}
        for ident, topic, met, marks, cost in self._connection.execute(
            "SELECT flight, topic, met, marks, cost FROM topics ORDER BY flight, rowid"
        ):
            if topic in known:
                topics.setdefault(ident, []).append(
                    TopicMarks(topic=known[topic], met=met, marks=marks, cost=cost)
                )
        return tuple(
            KeptFlight(
                ident=row[0],
                started_utc=row[1],
                procedure=row[2],
                title=row[3],
                origin=row[4],
                standard=row[5],
                wind_kt=row[6],
                prompting=row[7],
                ended=row[8],
                topics=tuple(topics.get(row[0], ())),
            )
            for row in self._connection.execute("SELECT * FROM flights ORDER BY started_utc, ident")
        )

    def delete(self, ident: str | None) -> int:
        """Delete one flight, or all for None; how many went."""
        with self._connection:
            if ident is None:
                gone = self._connection.execute("DELETE FROM flights").rowcount
            else:
                gone = self._connection.execute("DELETE FROM flights WHERE ident = ?", (ident,)).rowcount
        self._connection.execute("VACUUM")
        return gone
