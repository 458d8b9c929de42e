"""The rhythm that every event has: prepare before it, and name the next one after it."""

from collections.abc import Mapping
from dataclasses import replace

from assistant.engine.draft import TURN_WORTH_CALLING_DEG
from assistant.engine.events import CalloutKind, Figures, Priority, Turn
from assistant.engine.plan import Cue, Exit, Phase, Stage, When
from assistant.nav.geometry import PlanePoint, along_and_across_nm, difference_deg

# Prepare about a mile or 20 seconds before (common practice): a mile, but not less than 20 s nor more than
# 40.
PREPARE_NM = 1.0
PREPARE_SHORTEST_S = 20.0
PREPARE_LONGEST_S = 40.0
# A stage shorter than this has no room between its own action and the next preparation.
_ROOM_S = 12.0
NEXT_AFTER_S, NEXT_AFTER_TURN_S = 8.0, 1.0
# A descent so soon after that would cut the next event short; it is told when the descent has been called,
# which may be so long after its place.
_SAYING_S, _LATE_S = 6.0, 30.0
FOLLOWS_S = 1.0
_SPARE_S = 20.0
# A course that passes the station this near is a radial, as the needle shows them.
_RADIAL_NM = 0.3
# The event of a leg that ends at an altitude: what is done there is to go on climbing, and says so itself.
CLIMB = "climb"
# First actions of a stage that say which event has come.
_NAMES_EVENT = (
    CalloutKind.TURN,
    CalloutKind.HEADING,
    CalloutKind.OUTBOUND,
    CalloutKind.CLIMB,
    CalloutKind.GO_AROUND,
)


def with_event_cues(stages: list[Stage], came_by: Mapping[str, str]) -> list[Stage]:
    """
    The stages with what needs the whole plan: preparations, next events, and the event that each first action
    names.

    `came_by` adds the events of exits that are made in flight (the arrival's).
    """
    came_by = {
        leaving.to: leaving.event or stage.event for stage in reversed(stages) for leaving in stage.exits
    } | dict(came_by)
    named = [_naming_event(stage, came_by.get(stage.name)) for stage in stages]
    by_name = {stage.name: stage for stage in named}
    return [with_rhythm(stage, by_name) for stage in named]


def with_rhythm(stage: Stage, by_name: Mapping[str, Stage]) -> Stage:
    """A stage with its preparations and its next event; `by_name` finds what follows."""
    cues = (*stage.cues, *_prepare(stage, by_name), *_next(stage))
    return replace(stage, cues=tuple(sorted(cues, key=lambda cue: cue.at_s)))


def _naming_event(stage: Stage, event: str | None) -> Stage:
    """The stage's first action begins with the event that brought it: "Lead radial. Turn right …"."""
    if not stage.cues or event in (None, CLIMB) or stage.cues[0].kind not in _NAMES_EVENT:
        return stage
    first = stage.cues[0]
    if first.figures.event is not None:
        return stage
    return replace(stage, cues=(replace(first, figures=replace(first.figures, event=event)), *stage.cues[1:]))


def turned_from(figures: Figures, heading_mag_deg: float) -> Figures:
    """
    A first turn as it is from the heading that the pilot has, not from the one planned.

    On the way to the first fix the wind, or a way in from the side, may put the aircraft past the heading to
    come: turned as planned it would go all the way round.
    """
    if figures.heading_mag_deg is None:
        return figures
    change_deg = difference_deg(heading_mag_deg, figures.heading_mag_deg)
    if abs(change_deg) < TURN_WORTH_CALLING_DEG:
        return replace(figures, turn=None)
    return replace(figures, turn=Turn.RIGHT if change_deg > 0.0 else Turn.LEFT)


def lead_s(stage: Stage, at_s: float) -> float:
    """How long before an event it is prepared, s."""
    if stage.timeline is None:
        return PREPARE_SHORTEST_S
    mile_s = PREPARE_NM / max(stage.timeline.at(at_s).groundspeed_kt, 30.0) * 3600.0
    return min(max(mile_s, PREPARE_SHORTEST_S), PREPARE_LONGEST_S)


def _prepare(stage: Stage, by_name: Mapping[str, Stage]) -> tuple[Cue, ...]:
    """One preparation an exit: the event, how long to it, and what to do there."""
    cues: list[Cue] = []
    for leaving in stage.exits:
        at_s = leaving.at_s
        if at_s is None or stage.phase is Phase.LANDING:
            continue
        lead = lead_s(stage, at_s)
        if at_s - lead < _ROOM_S:
            # A short stage: half the warning is better than none, no warning better than one on top of the
            # action.
            lead = lead / 2.0
            if at_s - lead < _ROOM_S:
                continue
        cues.append(
            Cue(
                name=f"prepare {leaving.event or stage.event}"
                + (f" ({leaving.when})" if leaving.when is not When.ALWAYS else ""),
                at_s=at_s - lead,
                kind=CalloutKind.PREPARE,
                priority=Priority.PREPARATION,
                figures=_coming(stage, leaving, by_name, lead),
                trigger=leaving.trigger,
                lead_s=lead,
                when=leaving.when,
            )
        )
    return tuple(cues)


def _coming(stage: Stage, leaving: Exit, by_name: Mapping[str, Stage], before_s: float) -> Figures:
    """What is to be done at the exit, taken from the next stage's own first call."""
    base = Figures(event=leaving.event or stage.event, time_s=round(before_s / 5.0) * 5.0)
    following = by_name.get(leaving.to)
    if following is None or not following.cues:
        return base
    action = following.cues[0].figures
    climbs = following.phase is Phase.MISSED and action.altitude_ft != stage.target_ft
    return replace(
        base,
        turn=action.turn,
        heading_mag_deg=action.heading_mag_deg if action.turn is not None else None,
        course_mag_deg=_course_to_set_deg(stage, following),
        entry=action.entry,
        descent_fpm=action.descent_fpm,
        altitude_ft=action.altitude_ft if climbs else None,
        item="climb" if climbs else None,
    )


def _course_to_set_deg(stage: Stage, following: Stage) -> float | None:
    """
    The course of the leg to come, where the needle is to be set anew.

    A pilot who is told a heading only has a needle that shows another leg's course.
    """
    course_deg = following.cues[0].figures.course_mag_deg
    if course_deg is None or (stage.course is not None and stage.course.course_mag_deg == course_deg):
        return None
    return course_deg if _is_radial(following) else None


def _is_radial(stage: Stage) -> bool:
    """Whether the needle can show the stage's course: a line through the station."""
    if stage.course is None:
        return False
    station = along_and_across_nm(PlanePoint(0.0, 0.0), stage.course.anchor, stage.course.course_mag_deg)
    return abs(station.across_nm) < _RADIAL_NM


def _next(stage: Stage) -> tuple[Cue, ...]:
    """Soon after a stage began: the next event and the altitude due there, where there is time to hear it."""
    if not stage.exits or not stage.event or stage.phase is Phase.FINAL:
        # On final the heights are what comes next; the missed approach point has its own preparation.
        return ()
    at_s = stage.exits[0].at_s
    # A turn was called some seconds before its place: time enough has passed by then.
    after_s = NEXT_AFTER_TURN_S if stage.turns and stage.phase is not Phase.MISSED else NEXT_AFTER_S
    if at_s is not None and at_s < NEXT_AFTER_S + PREPARE_LONGEST_S + _SPARE_S:
        return ()
    follows = next(
        (
            cue
            for cue in stage.cues
            if cue.descends and cue.when is When.ALWAYS and 0.0 <= cue.at_s - after_s < _SAYING_S
        ),
        None,
    )
    return (
        Cue(
            name="next event",
            at_s=after_s if follows is None else follows.at_s + FOLLOWS_S,
            kind=CalloutKind.NEXT,
            priority=Priority.PREPARATION,
            figures=next_figures(stage),
            window_s=15.0 if follows is None else _LATE_S,
            needs_position=False,
            follows="" if follows is None else follows.name,
        ),
    )


def next_figures(stage: Stage) -> Figures:
    """The event that ends a stage: what, where, and the altitude due there."""
    figures = replace(stage.event_figures, event=stage.event)
    if (
        (stage.turns or stage.phase is Phase.INITIAL)
        and stage.phase is not Phase.MISSED
        and _is_radial(stage)
    ):
        # Said again in the turn: the preparation may have been cut short by the turn itself. And on a first
        # leg, where no turn has named it.
        figures = replace(
            figures, course_mag_deg=None if stage.course is None else stage.course.course_mag_deg
        )
    if figures.altitude_ft is not None or stage.phase is Phase.LANDING:
        return figures
    return replace(figures, altitude_ft=stage.floors[-1].altitude_ft if stage.floors else stage.target_ft)
