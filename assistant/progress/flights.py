"""What is kept of a flight: enough for trends, nothing of the pilot's words."""

from collections import defaultdict
from dataclasses import dataclass
from hashlib import sha256

from assistant.debrief.content import Debrief, Topic
from assistant.flight_log import FlightRecord, header_line


@dataclass(frozen=True, slots=True, kw_only=True)
class TopicMarks:
    """How a topic went in one flight: marks met of marks made, and what its findings cost."""

    topic: Topic
    met: int
    marks: int
    cost: float


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptFlight:
    """
    One flight as kept.

    ident is made from the log's first line, so that a flight debriefed again, or after it was resumed, takes
    the place of what was kept of it. wind_kt: the strongest wind given.
    """

    ident: str
    started_utc: str
    procedure: str
    title: str
    origin: str
    standard: str
    wind_kt: float
    prompting: str
    ended: str
    topics: tuple[TopicMarks, ...]

    @property
    def met(self) -> int:
        """Marks met."""
        return sum(topic.met for topic in self.topics)

    @property
    def marks(self) -> int:
        """Marks made."""
        return sum(topic.marks for topic in self.topics)

    @property
    def cost(self) -> float:
        """What all findings cost (debrief.rating)."""
        return sum(topic.cost for topic in self.topics)


def kept(record: FlightRecord, debrief: Debrief) -> KeptFlight:
    """What is kept of a debriefed flight."""
    met: dict[Topic, int] = defaultdict(int)
    marks: dict[Topic, int] = defaultdict(int)
    cost: dict[Topic, float] = defaultdict(float)
    for mark in debrief.marks:
        marks[mark.topic] += 1
        met[mark.topic] += mark.is_met
    for found in debrief.findings:
        cost[found.topic] += found.cost
    winds_kt = [level.wind_kt for level in record.header.conditions.wind]
    return KeptFlight(
        ident=sha256(header_line(record.header).encode("utf-8", errors="replace")).hexdigest()[:12],
        started_utc=debrief.started_utc,
        procedure=debrief.ident,
        title=debrief.title,
        origin=debrief.origin,
        standard=debrief.standard,
        wind_kt=max(winds_kt, default=0.0),
        prompting=debrief.prompting,
        ended=debrief.ended,
        topics=tuple(
            TopicMarks(topic=topic, met=met[topic], marks=marks[topic], cost=cost[topic])
            for topic in Topic
            if topic in marks or topic in cost
        ),
    )
