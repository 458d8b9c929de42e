"""
The compiled chain of events of a procedure, as tables to read and as plain values.

Shows the plan that the engine flies by, nothing reckoned anew: what ends each stage, what follows, the
floors, and each callout in the words that the screen would show. Verticals are as the day's altimeter shows
them.
"""

from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table

from assistant.adapters.transcript_file import clock_text
from assistant.briefing.levels import Levels
from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions
from assistant.engine.events import Callout, Figures
from assistant.engine.plan import HOLD_ENTRY, Cue, Exit, Floor, Phase, Plan, Stage, When
from assistant.engine.triggers import AltitudeCrossed, Trigger
from assistant.language.phraseology import short
from assistant.preferences.settings import Settings
from assistant.procedure.model import Procedure


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownCue:
    """A callout: when, from the start of its stage, its kind, under which condition, its words."""

    at_s: float
    kind: str
    when: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownExit:
    """What ends a stage, which stages of the plan may follow, and under which condition."""

    event: str
    trigger: str
    to: tuple[str, ...]
    when: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownStage:
    """A stage in words; `duration_s` is nominal, None for the arrival, which may come from anywhere."""

    name: str
    title: str
    phase: str
    exits: tuple[ShownExit, ...]
    floors: tuple[str, ...]
    target: str
    duration_s: float | None
    cues: tuple[ShownCue, ...]


def plan_of(procedure: Procedure, day: Settings) -> Plan:
    """
    The plan of a procedure for a day: calm and standard where nothing is said.

    Without a category named, C, or the first with a minimum. PlanError where the day cannot be flown.
    """
    conditions = day.conditions(procedure)
    categories = sorted({minimum.category for minimum in procedure.minima})
    if day.category is None and conditions.category not in categories:
        conditions = replace(day, category=categories[0]).conditions(procedure)
    return compile_plan(procedure, conditions)


def print_plan(plan: Plan) -> None:
    """Print a plan as two tables: the stages, then what is called in each; 80 columns where it is piped."""
    stages = tuple(shown_stages(plan))
    numbers = {stage.name: str(number) for number, stage in enumerate(stages, start=1)}
    console = Console(highlight=False, emoji=False, markup=False)
    console.print(f"Chain of events: {plan.procedure.title}. {_day(plan.conditions)}")
    console.print(_chain_table(stages, numbers))
    console.print("Callouts, by time from the start of the stage")
    console.print(_cue_table(stages, numbers))


def plan_as_json(plan: Plan) -> dict[str, object]:
    """A plan as plain values: the category flown, and the stages as shown."""
    return {"category": plan.conditions.category.value, "stages": [*map(_plain, shown_stages(plan))]}


def shown_stages(plan: Plan) -> Iterator[ShownStage]:
    """Every stage of a plan in words, in the order of the plan."""
    levels = Levels(plan)
    for stage in plan.stages:
        yield ShownStage(
            name=stage.name,
            title=stage.title,
            phase=stage.phase.value,
            exits=tuple(_exits(plan, stage, levels)),
            floors=tuple(_floors(stage, levels)),
            target=_target(stage, levels),
            duration_s=_duration_s(stage),
            cues=tuple(_cue(cue, levels) for cue in stage.cues),
        )


def _duration_s(stage: Stage) -> float | None:
    """From its start to its first exit, s; None where nothing ends it, or where it begins anywhere."""
    if stage.timeline is None or not stage.exits:
        return None
    at_s = stage.exits[0].at_s
    return stage.timeline.duration_s if at_s is None else at_s


def _target(stage: Stage, levels: Levels) -> str:
    if stage.phase is Phase.LANDING:
        return "the runway"  # not its elevation: that is no altitude to descend to on instruments
    return "" if stage.target_ft is None else str(levels.shown(stage.target_ft))


def _exits(plan: Plan, stage: Stage, levels: Levels) -> Iterator[ShownExit]:
    if stage.phase is Phase.ARRIVAL:
        # Made in flight, from the first report that gives a place; it leads here.
        following = HOLD_ENTRY if plan.procedure.hold is not None else plan.after_hold
        yield ShownExit(event=stage.event, trigger="", to=_entered(plan, following), when="")
    yield from (_exit(plan, stage, leaving, levels) for leaving in stage.exits)


def _exit(plan: Plan, stage: Stage, leaving: Exit, levels: Levels) -> ShownExit:
    return ShownExit(
        event=leaving.event or stage.event,
        trigger=_place(leaving.trigger, levels),
        to=_entered(plan, leaving.to),
        when="" if leaving.when is When.ALWAYS else leaving.when.value,
    )


def _entered(plan: Plan, name: str) -> tuple[str, ...]:
    """The stages that an exit may lead to: of a racetrack one for each entry that the chart permits."""
    racetrack = plan.racetracks.get(name)
    return (name,) if racetrack is None else tuple(stage for _, stage in racetrack.entries)


def _place(trigger: Trigger, levels: Levels) -> str:
    """Where a trigger is; an altitude on the day's datum."""
    if isinstance(trigger, AltitudeCrossed):
        return f"{levels.shown(trigger.altitude_ft)} {'descending' if trigger.descending else 'climbing'}"
    return str(trigger)


def _floors(stage: Stage, levels: Levels) -> Iterator[str]:
    """The floors in the order in which they bind; none when climbing away."""
    if stage.phase is Phase.ARRIVAL:
        yield "the sector's"
    if stage.floor_until_established_ft is not None:
        yield f"{levels.shown(stage.floor_until_established_ft)} until established"
    yield from (_floor(floor, levels) for floor in stage.floors)


def _floor(floor: Floor, levels: Levels) -> str:
    return f"{levels.shown(floor.altitude_ft)}{f' until {floor.name}' if floor.name else ''}"


def _cue(cue: Cue, levels: Levels) -> ShownCue:
    """A cue as it would be shown; its lead time is in `at_s` already."""
    return ShownCue(
        at_s=round(cue.at_s, 1),
        kind=cue.kind.value,
        when="" if cue.when is When.ALWAYS else cue.when.value,
        words=short(
            Callout(
                t_s=cue.at_s,
                expires_t_s=cue.at_s,
                kind=cue.kind,
                priority=cue.priority,
                cue=cue.name,
                figures=_as_called(cue.figures, levels),
            )
        ),
    )


def _as_called(figures: Figures, levels: Levels) -> Figures:
    """Figures as the engine calls them: rounded, and on the day's datum."""
    if figures.altitude_ft is not None:
        level = levels.shown(figures.altitude_ft)
        figures = replace(figures, indicated_ft=level.indicated_ft, datum=level.datum)
    if figures.heading_mag_deg is not None:
        figures = replace(figures, heading_mag_deg=levels.called_heading_deg(figures.heading_mag_deg))
    if figures.descent_fpm is not None:
        figures = replace(figures, descent_fpm=levels.called_rate_fpm(figures.descent_fpm))
    return figures


def _day(conditions: Conditions) -> str:
    wind = ", ".join(
        f"{level.wind_from_mag_deg:03.0f}/{level.wind_kt:.0f}"
        + (f" at {level.altitude_ft:.0f} ft" if len(conditions.wind) > 1 else "")
        for level in conditions.wind
    )
    setting = f"QNH {conditions.qnh_hpa:.0f}"
    return f"Category {conditions.category}, {f'wind {wind}' if wind else 'calm'}, {setting}."


def _chain_table(stages: tuple[ShownStage, ...], numbers: dict[str, str]) -> Table:
    table = _table("#", "Stage", "Ends at", "Next", "Not below", "Target", "Time")
    for stage in stages:
        table.add_row(
            numbers[stage.name],
            stage.title,
            "\nor ".join(_end(leaving) for leaving in _distinct(stage.exits)),
            "\n".join(_next(leaving, numbers) for leaving in stage.exits),
            "\nthen ".join(stage.floors),
            stage.target,
            "" if stage.duration_s is None else clock_text(stage.duration_s),
        )
    return table


def _distinct(exits: tuple[ShownExit, ...]) -> Iterator[ShownExit]:
    """Exits without those that end at the same place as the one before (staying in a hold or leaving it)."""
    for before, leaving in zip((None, *exits), exits, strict=False):
        if before is None or (before.event, before.trigger) != (leaving.event, leaving.trigger):
            yield leaving


def _end(leaving: ShownExit) -> str:
    """An event and its place; the place alone where that is the event's only name (`4 DME`, `radial 270`)."""
    is_place = leaving.event[:1].isdigit() or leaving.event == leaving.trigger
    return ", ".join(part for part in ("" if is_place else leaving.event, leaving.trigger) if part)


def _next(leaving: ShownExit, numbers: dict[str, str]) -> str:
    stages = "/".join(sorted((numbers[name] for name in leaving.to), key=int))
    return f"{stages} {leaving.when}".rstrip()


def _cue_table(stages: tuple[ShownStage, ...], numbers: dict[str, str]) -> Table:
    table = _table("#", "At", "Kind", "Words", "Only when")
    for stage in stages:
        for position, cue in enumerate(stage.cues):
            number = numbers[stage.name] if position == 0 else ""
            table.add_row(number, clock_text(cue.at_s), cue.kind.replace("_", " "), cue.words, cue.when)
        if stage.cues:
            table.add_section()
    return table


def _table(*heads: str) -> Table:
    table = Table(box=SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    for head in heads:
        table.add_column(head, overflow="fold", no_wrap=head in {"#", "At", "Time"})
    return table


def _plain(stage: ShownStage) -> dict[str, object]:
    values = asdict(stage)
    if stage.duration_s is not None:
        values["duration_s"] = round(stage.duration_s, 1)
    return values
