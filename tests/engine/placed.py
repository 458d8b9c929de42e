"""The demonstration procedures, a flight set down on one by a report just read, and what a report brings."""

import functools
from pathlib import Path

from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions
from assistant.engine.core import begin, step
from assistant.engine.events import Callout, PositionReport
from assistant.engine.outbox import Outbox
from assistant.engine.state import AltitudeKnown
from assistant.procedure.load import load_procedure
from assistant.procedure.model import Category

ROOT = Path(__file__).resolve().parents[2]
NOW_S = 1000.0


@functools.cache
def demonstration(name):
    path = next(ROOT.glob(f"procedures/{name}*.yaml"))
    return load_procedure(path.read_text(encoding="utf-8"), path.name)


def compiled(procedure, category=Category.C, **changes):
    """The plan of a procedure for a day changed so."""
    return compile_plan(procedure, Conditions(**changes).for_category(category))


def placed(plan, stage_name, dme_nm, *, progress_s=None, altitude_ft=None, **changes):
    """
    The state of a flight that read a range on a stage at NOW_S, level at `altitude_ft` where given.

    `progress_s` says where on an arc, which is all at one range.
    """
    timeline = plan.stage(stage_name).timeline
    if progress_s is None:
        progress_s = timeline.progress_by_dme(dme_nm, timeline.duration_s / 2.0)
    known = {
        "stage_name": stage_name,
        "since_s": NOW_S,
        "reached_s": NOW_S,
        "entered_s": NOW_S - progress_s,
        "anchor_s": NOW_S,
        "anchor_progress_s": progress_s,
        "observed_s": NOW_S,
        "dme_nm": dme_nm,
        "dme_s": NOW_S,
        "altitude": None
        if altitude_ft is None
        else AltitudeKnown(altitude_ft=altitude_ft, t_s=NOW_S, read_s=NOW_S),
    }
    return begin(plan).but(**known | changes)


def report(at_s=NOW_S, **read):
    """A report read and heard at one moment, unless it says otherwise."""
    return PositionReport(**{"t_s": at_s, "observed_t_s": at_s} | read)


def after(state, *, at_s=NOW_S, **read):
    """The state after a report, and the callouts."""
    state, outputs = step(state, report(at_s, **read))
    return state, [output for output in outputs if isinstance(output, Callout)]


def said(rule, *arguments):
    """The callouts that a rule of the engine makes, given what it wants before its outbox."""
    out = Outbox()
    rule(*arguments, out)
    return [output for output in out.outputs if isinstance(output, Callout)]
