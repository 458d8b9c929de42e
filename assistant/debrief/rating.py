"""
How a flight is rated, and what to practise first.

Method (docs/debrief.md says it for pilots):

- The rating is how many marks were met, of how many there were. No letter and no percentage: three marks of a
  short flight are no worse than nine.
- What to practise first is chosen by cost. Each finding costs its topic's weight times how far it was outside
  its tolerance, counted up to three times; the costs of a topic add up; the two or three dearest topics come
  first, those below the cost of one slip in talking are left out.
- Weights say what kills first: below a minimum or a floor, then a wrong altimeter, then being in the wrong
  place, then the wrong height where it is safe, then talking. They are this program's own.
"""

from collections import defaultdict
from collections.abc import Iterable

from assistant.debrief.content import Finding, Practice, Topic

WEIGHTS = {
    Topic.FLOOR: 10.0,
    Topic.MINIMUM: 10.0,
    Topic.ALTIMETER: 8.0,
    Topic.TURN: 6.0,
    Topic.ARC: 5.0,
    Topic.COURSE: 5.0,
    Topic.ALTITUDE: 4.0,
    Topic.SLOPE: 3.0,
    Topic.REPORTS: 1.0,
}
MOST = 3
LEAST_COST = 2.0

ADVICE = {
    Topic.FLOOR: "Before every descent say aloud the floor and what ends it; level off there, then go on.",
    Topic.MINIMUM: "Call one hundred above; at the minimum decide in a word: visual, or going around.",
    Topic.ALTIMETER: "Set and read back the altimeter at each change; it must still show the level held.",
    Topic.TURN: "Set the next heading before the turn is due, and bank as the event comes, not after it.",
    Topic.ARC: "Keep the pointer on its reference, drift included; turn in small steps each ten radials.",
    Topic.COURSE: "Fly the heading for the wind first, correct in small cuts, look at the needle often.",
    Topic.ALTITUDE: "Lead the level-off by a tenth of the rate of descent, and trim before looking away.",
    Topic.SLOPE: "Set the briefed rate at the final approach fix; correct it at every mile by the table.",
    Topic.REPORTS: "Report range and altitude at every event and once between; both keep the picture.",
}


def practices(findings: Iterable[Finding]) -> tuple[Practice, ...]:
    """The two or three things to practise first, dearest first; none where nothing much was wrong."""
    by_topic: dict[Topic, list[Finding]] = defaultdict(list)
    for found in findings:
        by_topic[found.topic].append(found)
    costs = {topic: sum(found.cost for found in group) for topic, group in by_topic.items()}
    dear = sorted((topic for topic in costs if costs[topic] >= LEAST_COST), key=lambda topic: -costs[topic])
    return tuple(
        Practice(
            topic=topic,
            text=ADVICE[topic],
            because=max(by_topic[topic], key=lambda found: found.cost).text,
        )
        for topic in dear[:MOST]
    )
