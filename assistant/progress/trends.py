"""
What many flights show, and what to fly next. Pure: flights in, figures out.

Method. A trend compares the newer half of the flights with the older half, by the mean cost of a flight's
findings: a fifth less is better, a fifth more is worse, else it is the same. The next practice is chosen from
the last few flights: the topic that cost most; for it the procedure and the band of wind in which it cost
most a flight; where nothing cost anything, a procedure at hand that was never flown, else the one flown
least, and the next stronger wind. Ties: of topics the earlier in `Topic`; of procedures and winds the one
flown first among those flights; of procedures never flown the first by name; of those flown as seldom the
one not flown for longest. Prompting goes down a step when nine marks in ten were met, and up a step when
fewer than six in ten were.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from assistant.debrief.content import Topic
from assistant.dialogue import Prompting
from assistant.progress.flights import KeptFlight

RECENT = 6
_NOTABLE = 0.2
_LESS_PROMPTING, _MORE_PROMPTING = 0.9, 0.6
_LEAST_COST = 1.0
_STEPS = (Prompting.FULL, Prompting.NORMAL, Prompting.ACTIONS, Prompting.SILENT)


class WindBand(StrEnum):
    """How strong the wind was."""

    LIGHT = "light wind, under 10 kt"
    FRESH = "fresh wind, 10 to 20 kt"
    STRONG = "strong wind, over 20 kt"


_PRACTICE_KT = {WindBand.LIGHT: 5.0, WindBand.FRESH: 15.0, WindBand.STRONG: 25.0}


def wind_band(wind_kt: float) -> WindBand:
    """The band of a wind."""
    if wind_kt < 10.0:
        return WindBand.LIGHT
    return WindBand.FRESH if wind_kt <= 20.0 else WindBand.STRONG


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """
    How one group of flights goes.

    met, marks: over all its flights; before_cost, now_cost: mean cost of a flight in the older and the newer
    half; direction: better, worse, the same, or too few to tell.
    """

    name: str
    flights: int
    met: int
    marks: int
    before_cost: float | None
    now_cost: float
    direction: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NextPractice:
    """What to fly next, and why."""

    procedure: str
    title: str
    wind_kt: float
    prompting: str
    topic: Topic | None
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AtHand:
    """A procedure that the pilot has, flown or not: its identification and title."""

    procedure: str
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """All that `leadradial progress` shows."""

    flights: tuple[KeptFlight, ...]
    by_procedure: tuple[Trend, ...]
    by_topic: tuple[Trend, ...]
    by_wind: tuple[Trend, ...]
    next_practice: NextPractice | None


def progress_of(flights: Sequence[KeptFlight], at_hand: Iterable[AtHand] = ()) -> Progress:
    """Trends and the next practice; flights oldest first, with the procedures that may be flown too."""
    return Progress(
        flights=tuple(flights),
        by_procedure=_grouped(flights, lambda flight: flight.title),
        by_topic=tuple(_topic_trend(flights, topic) for topic in Topic if _has(flights, topic)),
        by_wind=_grouped(flights, lambda flight: wind_band(flight.wind_kt).value),
        next_practice=next_practice(flights, at_hand),
    )


def _grouped(flights: Iterable[KeptFlight], key: Callable[[KeptFlight], str]) -> tuple[Trend, ...]:
    groups: dict[str, list[KeptFlight]] = defaultdict(list)
    for flight in flights:
        groups[key(flight)].append(flight)
    return tuple(
        _trend(
            name,
            [flight.cost for flight in group],
            sum(flight.met for flight in group),
            sum(flight.marks for flight in group),
        )
        for name, group in sorted(groups.items())
    )


def _has(flights: Iterable[KeptFlight], topic: Topic) -> bool:
    return any(part.topic is topic for flight in flights for part in flight.topics)


def _topic_trend(flights: Iterable[KeptFlight], topic: Topic) -> Trend:
    parts = [part for flight in flights for part in flight.topics if part.topic is topic]
    return _trend(
        topic.value,
        [part.cost for part in parts],
        sum(part.met for part in parts),
        sum(part.marks for part in parts),
    )


def _trend(name: str, costs: Sequence[float], met: int, marks: int) -> Trend:
    half = len(costs) // 2
    now = sum(costs[half:]) / len(costs[half:])
    before = sum(costs[:half]) / half if half else None
    return Trend(
        name=name,
        flights=len(costs),
        met=met,
        marks=marks,
        before_cost=before,
        now_cost=now,
        direction=_direction(before, now),
    )


def _direction(before: float | None, now: float) -> str:
    if before is None:
        return "too few to tell"
    notable = _NOTABLE * max(before, _LEAST_COST)
    if now < before - notable:
        return "better"
    return "worse" if now > before + notable else "the same"


def next_practice(flights: Sequence[KeptFlight], at_hand: Iterable[AtHand] = ()) -> NextPractice | None:
    """What to fly next; None before the first flight."""
    recent = flights[-RECENT:]
    if not recent:
        return None
    costs = {topic: _mean_cost(recent, topic) for topic in Topic}
    topic = max(costs, key=lambda one: costs[one])
    prompting = _prompting(recent)
    if costs[topic] < _LEAST_COST:
        chosen, because = _for_change(flights, at_hand)
        strongest = max(recent, key=lambda flight: flight.wind_kt)
        return NextPractice(
            procedure=chosen.procedure,
            title=chosen.title,
            wind_kt=_PRACTICE_KT[_stronger(wind_band(strongest.wind_kt))],
            prompting=prompting,
            topic=None,
            because=f"nothing stands out in the last flights; {because}",
        )
    worst = _dearest(recent, topic, lambda flight: flight.procedure)
    band = WindBand(_dearest(recent, topic, lambda flight: wind_band(flight.wind_kt).value))
    title = next(flight.title for flight in recent if flight.procedure == worst)
    return NextPractice(
        procedure=worst,
        title=title,
        wind_kt=_PRACTICE_KT[band],
        prompting=prompting,
        topic=topic,
        because=f"{topic.value} cost most in the last {_count(len(recent))}, "
        f"most of all on {title} in {band.value}",
    )


def _for_change(flights: Sequence[KeptFlight], at_hand: Iterable[AtHand]) -> tuple[AtHand, str]:
    """The procedure to fly where none wants practice more than another, and why that one."""
    last = {flight.procedure: place for place, flight in enumerate(flights)}
    fresh = [one for one in at_hand if one.procedure not in last]
    if fresh:
        return min(fresh, key=lambda one: one.procedure), "this one was never flown"
    times = Counter(flight.procedure for flight in flights)
    least = min(last, key=lambda procedure: (times[procedure], last[procedure]))
    return AtHand(procedure=least, title=flights[last[least]].title), "this one was flown least"


def _count(flights: int) -> str:
    return "flight" if flights == 1 else f"{flights} flights"


def _mean_cost(flights: Sequence[KeptFlight], topic: Topic) -> float:
    return sum(_cost(flight, topic) for flight in flights) / len(flights)


def _cost(flight: KeptFlight, topic: Topic) -> float:
    return sum(part.cost for part in flight.topics if part.topic is topic)


def _dearest(flights: Sequence[KeptFlight], topic: Topic, key: Callable[[KeptFlight], str]) -> str:
    groups: dict[str, list[KeptFlight]] = defaultdict(list)
    for flight in flights:
        groups[key(flight)].append(flight)
    return max(groups, key=lambda name: _mean_cost(groups[name], topic))


def _stronger(band: WindBand) -> WindBand:
    bands = list(WindBand)
    return bands[min(bands.index(band) + 1, len(bands) - 1)]


def _prompting(recent: Sequence[KeptFlight]) -> str:
    marks = sum(flight.marks for flight in recent)
    last = recent[-1].prompting
    step = next((place for place, prompting in enumerate(_STEPS) if prompting.value == last), 0)
    if marks:
        share = sum(flight.met for flight in recent) / marks
        if share >= _LESS_PROMPTING:
            step = min(step + 1, len(_STEPS) - 1)
        elif share < _MORE_PROMPTING:
            step = max(step - 1, 0)
    return _STEPS[step].value
