"""
What a plan can say, sentence by sentence, before any of it is due: for a voice that prepares its sounds.

A callout is made of short sentences, and far fewer of them exist than of callouts: "Turn right heading two
four five." is the same sentence in every procedure. So sentences are listed, not callouts. What the plan
itself holds is exact; what depends on the flight (a heading back to the arc, a height on the slope, a rate)
is every value it can take.

Left out: what repeats a pilot's own numbers (confirmed winds, challenged ranges) and the chart's long texts.
"""

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from math import ceil, floor

from assistant.engine.advice import height_due_ft
from assistant.engine.core import begin
from assistant.engine.cues import next_figures
from assistant.engine.descents import altimeter_figures
from assistant.engine.events import Asked, Callout, CalloutKind, Figures, Priority, Said, Turn
from assistant.engine.outbox import as_flown
from assistant.engine.plan import Phase, Plan, Stage
from assistant.engine.state import State
from assistant.language.phraseology import words

_SENTENCE_END = re.compile(r"(?<=[.?!])\s+")

# As far as these figures are foreseen; beyond, a sentence is made when it is needed.
_OFFSETS_NM = tuple(tenths / 10.0 for tenths in range(1, 31))
_OFFSETS_DEG = tuple(tenths / 10.0 for tenths in range(20, 101))
_DIFFERENCES_FT = tuple(float(difference_ft) for difference_ft in range(0, 510, 10))
_RATES_FPM = tuple(float(rate_fpm) for rate_fpm in range(100, 4550, 50))
_HEADINGS_DEG = tuple(float(heading_deg) for heading_deg in range(5, 365, 5))
_LEADS_S = tuple(float(lead_s) for lead_s in range(10, 45, 5))
_VIEWS_DEG = tuple(float(angle_deg) for angle_deg in range(1, 31))
_TO_REPORT = ("range", "radial", "altitude", "position", "established")

Line = tuple[CalloutKind, Figures]


def sentences_of(text: str) -> tuple[str, ...]:
    """A callout's words as the sentences a voice renders one by one."""
    return tuple(sentence for sentence in _SENTENCE_END.split(text.strip()) if sentence)


def foreseen(plan: Plan) -> tuple[str, ...]:
    """Every sentence foreseen of a plan, each once: safety first, then in the order of the flight."""
    start = begin(plan)
    states = [
        replace(start, stage_name=stage.name, datum=datum)
        for stage, datum in product(plan.stages, dict.fromkeys((start.datum, plan.conditions.datum)))
    ]
    lines = (
        *((state, line) for state in states for line in _floors(state.stage)),
        *((state, line) for state in states for line in _of_stage(state.stage)),
        *((state, line) for state in states for line in _final_heights(state)),
        *((start, line) for line in _anywhere(plan)),
    )
    texts = (_text(state, kind, figures) for state, (kind, figures) in lines)
    return tuple(dict.fromkeys(sentence for text in texts for sentence in sentences_of(text)))


def _text(state: State, kind: CalloutKind, figures: Figures) -> str:
    flown = as_flown(state, figures)
    return words(
        Callout(t_s=0.0, expires_t_s=0.0, kind=kind, priority=Priority.ACTION, cue="foreseen", figures=flown)
    )


def _floors(stage: Stage) -> Iterator[Line]:
    floors_ft = [each.altitude_ft for each in stage.floors]
    if stage.floor_until_established_ft is not None:
        floors_ft.append(stage.floor_until_established_ft)
    for altitude_ft in floors_ft:
        figures = Figures(altitude_ft=altitude_ft)
        yield CalloutKind.BELOW_FLOOR, figures
        yield CalloutKind.FLOOR, figures
        yield CalloutKind.LEVEL_OFF, figures


def _of_stage(stage: Stage) -> Iterator[Line]:
    """The stage's cues, what comes next in it, and the altitudes it ends at."""
    for cue in stage.cues:
        yield cue.kind, cue.figures
    if stage.event:
        yield CalloutKind.NEXT, next_figures(stage)
        for lead_s in _LEADS_S:
            yield CalloutKind.PREPARE, Figures(event=stage.event, time_s=lead_s)
    if stage.course is not None:
        yield CalloutKind.PREPARE, Figures(course_mag_deg=stage.course.course_mag_deg)
    if stage.target_ft is not None:
        for kind in (CalloutKind.LEVEL_OFF, CalloutKind.DESCEND, CalloutKind.MAINTAIN, CalloutKind.CLIMB):
            yield kind, Figures(altitude_ft=stage.target_ft)


def _final_heights(state: State) -> Iterator[Line]:
    """What is due at each tenth of a mile of the final approach."""
    profile = state.plan.profile
    if not profile or state.stage.phase is not Phase.FINAL:
        return
    for tenths in range(floor(profile[0][0] * 10.0), ceil(profile[-1][0] * 10.0) + 1):
        due_ft = height_due_ft(state, tenths / 10.0, 0.0)
        if due_ft is not None:
            yield CalloutKind.ALTITUDE_DUE, Figures(dme_nm=tenths / 10.0, altitude_ft=due_ft)


def _hold_entries(plan: Plan) -> Iterator[Line]:
    """The preparation for each way into a hold; which one it is shows only in flight."""
    for racetrack in plan.racetracks.values():
        for _, name in racetrack.entries:
            first = plan.stage(name).cues[0].figures
            yield CalloutKind.PREPARE, replace(first, event=None, dme_nm=None, time_s=None, altitude_ft=None)
            yield CalloutKind.PREPARE, Figures(entry=first.entry)


def _anywhere(plan: Plan) -> Iterator[Line]:
    """What can be said in any stage, with every figure it can have."""
    yield CalloutKind.SAY_AGAIN, Figures()
    for item in _TO_REPORT:
        yield CalloutKind.SAY_POSITION, Figures(item=item)
        yield CalloutKind.CHALLENGE, Figures(item=item)
    yield CalloutKind.MINIMUM, Figures(altitude_ft=plan.minimum_ft)
    yield CalloutKind.MINIMUM_IS, Figures(altitude_ft=plan.minimum_ft)
    yield CalloutKind.NEAR_MINIMUM, Figures(difference_ft=100.0, altitude_ft=plan.decision_ft)
    start = begin(plan)
    for datum in dict.fromkeys((start.datum, plan.conditions.datum)):
        yield CalloutKind.SET_ALTIMETER, altimeter_figures(start, datum)
        yield CalloutKind.CHECK_ALTIMETER, altimeter_figures(start, datum)
    for said in Said:
        yield CalloutKind.CONFIRM, Figures(item=said.value.replace("_", " "))
    for item in ("disregarded", "leaving at the fix", "altimeter", "wind", "temperature"):
        yield CalloutKind.CONFIRM, Figures(item=item)
    for asked in Asked:
        yield CalloutKind.UNKNOWN, Figures(item=asked.value.replace("_", " "))
    for frequency in plan.procedure.frequencies:
        yield CalloutKind.FREQUENCY, Figures(event=frequency.name, frequency_mhz=frequency.frequency_mhz)
    yield from _hold_entries(plan)
    yield from _numbers()


def _numbers() -> Iterator[Line]:
    for rate_fpm in _RATES_FPM:
        yield CalloutKind.RATE, Figures(descent_fpm=rate_fpm)
        yield CalloutKind.FINAL_DESCENT, Figures(descent_fpm=rate_fpm)
    for heading_deg in _HEADINGS_DEG:
        yield CalloutKind.HEADING, Figures(heading_mag_deg=heading_deg)
        for turn in Turn:
            yield CalloutKind.HEADING, Figures(heading_mag_deg=heading_deg, turn=turn)
    for side, offset_nm in product(("inside", "outside"), _OFFSETS_NM):
        yield CalloutKind.ARC_OFFSET, Figures(side=side, offset_nm=offset_nm)
    for side, offset_deg in product(("left", "right"), _OFFSETS_DEG):
        yield CalloutKind.COURSE_OFFSET, Figures(side=side, offset_deg=offset_deg)
    for sign, difference_ft in product((1.0, -1.0), _DIFFERENCES_FT):
        yield CalloutKind.HEIGHT_CHECK, Figures(difference_ft=sign * difference_ft)
    yield CalloutKind.LAND, Figures(side="ahead", angle_deg=0.0)
    for side, angle_deg in product(("left", "right"), _VIEWS_DEG):
        yield CalloutKind.LAND, Figures(side=side, angle_deg=angle_deg)
