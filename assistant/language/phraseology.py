"""
Callouts as words: what the voice says, and the same in figures for the screen.

Every kind has one renderer, which gives short sentences with the most urgent first. A renderer knows no
number words: it asks a `Form`, spoken or written, so that voice and screen cannot disagree. A sentence whose
figures are missing is left out. Every vertical value is named with what it is measured from, since the same
needle shows three numbers; a callout that lacks its datum is a fault of the program, and raises.
"""

from collections.abc import Callable
from typing import Final

from assistant.engine.events import Callout, CalloutKind, Datum, EntrySector, Figures
from assistant.language.forms import SPOKEN, WRITTEN, Form

WORDS_PER_S: Final = 2.6
"""About 155 words a minute, brisk but plain. Common practice, no source."""


def words(callout: Callout) -> str:
    """
    What to say, in radiotelephony form, without a digit in it.

    ValueError where a callout names a vertical value without its datum.
    """
    said = (_sentence(part) for part in _RENDERERS[callout.kind](callout.figures, SPOKEN) if part)
    return " ".join(said)


def short(callout: Callout) -> str:
    """The same for the screen, in figures: "DESCEND 2000 QNH · 650 fpm". ValueError as for `words`."""
    first, *rest = (part for part in _RENDERERS[callout.kind](callout.figures, WRITTEN) if part)
    return " · ".join((first.upper(), *rest))


def spoken_duration_s(text: str) -> float:
    """About how long some words take to say, s; for queueing and for expiry, not for timing a flight."""
    return len(text.split()) / WORDS_PER_S


def _sentence(part: str) -> str:
    closed = part if part[-1] in ".?!" else f"{part}."
    return closed[0].upper() + closed[1:]


# --- the pieces that sentences are made of; each is empty where its figures are missing
# ------------------------------


def _datum(f: Figures) -> str:
    if f.datum is None:
        raise ValueError("a callout names indicated_ft without the datum it is measured from")
    return f.datum.value.upper() if f.datum is not Datum.STANDARD else "standard"


def _vertical(f: Figures, form: Form, *, is_minimum: bool = False) -> str:
    """A vertical value with what it is measured from."""
    corrected = ", corrected" if f.corrected else ""
    if f.indicated_ft is None:
        return "" if f.altitude_ft is None else f"{form.altitude(f.altitude_ft)} QNH{corrected}"
    if f.datum is Datum.STANDARD and round(f.indicated_ft) % 100 == 0:
        return f"{form.level(f.indicated_ft / 100.0)}{corrected}"
    number = form.minimum(f.indicated_ft) if is_minimum else form.altitude(f.indicated_ft)
    return f"{number} {_datum(f)}{corrected}"


def _joined(*parts: str) -> str:
    """The parts that are there, in one sentence."""
    return " ".join(part for part in parts if part)


def _after(lead: str, rest: str) -> str:
    """`rest` with words before it, or nothing at all."""
    return f"{lead} {rest}" if rest else ""


def _rate(f: Figures, form: Form) -> str:
    return "" if f.descent_fpm is None else f"{form.altitude(f.descent_fpm)}{form.feet_per_minute}"


def _range(f: Figures, form: Form) -> str:
    return "" if f.dme_nm is None else f"{form.tenths(f.dme_nm)} DME"


def _heading(f: Figures, form: Form) -> str:
    if f.heading_mag_deg is not None:
        return f"heading {form.bearing(f.heading_mag_deg)}"
    return "" if f.course_mag_deg is None else f"course {form.bearing(f.course_mag_deg)}"


def _turn(f: Figures, form: Form) -> str:
    heading = _heading(f, form)
    return heading if f.turn is None else _joined("turn", f.turn.value, heading)


def _event_at(f: Figures, form: Form) -> str:
    """An event and where or when it is: "lead radial zero five five", "BELIM at five DME"."""
    event = form.text(f.event or "")
    if f.time_s is not None:
        return f"{event} in {form.time(f.time_s)}".lstrip()
    if f.radial_deg is not None:
        bearing = form.bearing(f.radial_deg)
        is_named = event.endswith("radial")
        return f"{event} {bearing}" if is_named else f"{event} at {form.radial_prefix}{bearing}".lstrip()
    return f"{event} at {_range(f, form)}".lstrip() if f.dme_nm is not None else event


def _limit(f: Figures, form: Form) -> str:
    """How far, or how long, a leg is flown."""
    return form.time(f.time_s) if f.time_s is not None else _after("to", _range(f, form))


def _setting(f: Figures, form: Form) -> str:
    if f.datum is Datum.STANDARD:
        return "standard"
    if f.datum is Datum.QFE and f.qfe_hpa is not None:
        return f"QFE {form.whole(f.qfe_hpa)}"
    if f.qnh_hpa is not None:
        return f"QNH {form.whole(f.qnh_hpa)}"
    if f.qfe_hpa is not None:
        return f"QFE {form.whole(f.qfe_hpa)}"
    return "" if f.datum is None else _datum(f)


def _wind(f: Figures, form: Form) -> str:
    if f.wind_from_mag_deg is None or f.wind_kt is None:
        return ""
    if round(f.wind_kt) == 0:
        return "wind calm"
    return f"wind {form.degrees(form.bearing(f.wind_from_mag_deg))} {form.knots(form.whole(f.wind_kt))}"


def _difference(f: Figures, form: Form) -> str:
    """To the nearest 10 ft, as altimeters are read."""
    if f.difference_ft is None:
        return ""
    tens_ft = round(f.difference_ft / 10.0) * 10
    return "on slope" if tens_ft == 0 else f"{form.altitude(abs(tens_ft))} {'high' if tens_ft > 0 else 'low'}"


def _readings(f: Figures, form: Form) -> str:
    """Whatever figures were heard, for a confirmation or a challenge."""
    vertical = _vertical(f, form)
    has_setting = f.qnh_hpa is not None or f.qfe_hpa is not None or (f.datum is not None and not vertical)
    heard = (
        _wind(f, form),
        _setting(f, form) if has_setting else "",
        "" if f.temperature_c is None else f"temperature {form.whole(f.temperature_c)}",
        _range(f, form),
        "" if f.radial_deg is None else f"{form.radial_prefix}{form.bearing(f.radial_deg)}",
        vertical,
        _heading(f, form),
        "" if f.time_s is None else form.time(f.time_s),
    )
    return ", ".join(part for part in heard if part)


# --- one renderer a kind
# ---------------------------------------------------------------------------------------------

Renderer = Callable[[Figures, Form], tuple[str, ...]]
_ENTRIES = {
    EntrySector.PARALLEL: "parallel entry",
    EntrySector.OFFSET: "offset entry",
    EntrySector.DIRECT: "direct entry",
}


def _prepare(f: Figures, form: Form) -> tuple[str, ...]:
    coming = _turn(f, form)
    descent = _vertical(f, form)
    if f.descent_fpm is not None:
        descent = f"descend {descent or _rate(f, form)}"
    if f.item is not None:
        descent = _after(form.text(f.item), descent)
    entry = _ENTRIES[f.entry] if f.entry is not None else ""
    has_both = f.heading_mag_deg is not None and f.course_mag_deg is not None
    course = f"course {form.bearing(f.course_mag_deg)}" if has_both and f.course_mag_deg is not None else ""
    coming = ", ".join(part for part in (entry, coming, course) if part)
    return _event_at(f, form), _after("then", coming), _after("then", descent)


def _next(f: Figures, form: Form) -> tuple[str, ...]:
    course = "" if f.course_mag_deg is None else f"course {form.bearing(f.course_mag_deg)}"
    coming = (course, _event_at(f, form), _vertical(f, form))
    return (f"next: {', '.join(part for part in coming if part)}",)


def _flown(f: Figures, form: Form) -> tuple[str, ...]:
    return form.text(f.event or ""), _turn(f, form), _limit(f, form)


def _hold_entry(f: Figures, form: Form) -> tuple[str, ...]:
    return _ENTRIES[f.entry] if f.entry else "hold entry", _turn(f, form), _limit(f, form)


def _inbound_turn(f: Figures, form: Form) -> tuple[str, ...]:
    return f"turn {f.turn.value}" if f.turn else "turn inbound", _after("inbound", _heading(f, form))


def _arc_offset(f: Figures, form: Form) -> tuple[str, ...]:
    by = "" if f.offset_nm is None else f"{form.tenths(f.offset_nm)} "
    return f"{by}{f.side or 'off'} the arc", _heading(f, form)


def _course_offset(f: Figures, form: Form) -> tuple[str, ...]:
    by = "" if f.offset_deg is None else f", {form.degrees(form.tenths(f.offset_deg))}"
    # Who did not hear the course on the way to it could only fly on through it.
    back = _heading(f, form)
    if f.heading_mag_deg is not None and f.course_mag_deg is not None:
        back = f"{back}, course {form.bearing(f.course_mag_deg)}"
    return f"{f.side or 'off'}{' of' if f.side else ''} course{by}", back


def _descend(f: Figures, form: Form) -> tuple[str, ...]:
    down = _joined("descend", _vertical(f, form))
    by = _after("by", _range(f, form))
    return form.text(f.event or ""), down, _rate(f, form), by, _turn(f, form)


def _final_descent(f: Figures, form: Form) -> tuple[str, ...]:
    down = _joined("descend", _rate(f, form))
    return form.text(f.event or ""), _turn(f, form), down, _after("not below", _vertical(f, form))


def _maintain(f: Figures, form: Form) -> tuple[str, ...]:
    return (_joined("maintain", _vertical(f, form), form.text(f.item or "")),)


def _height_check(f: Figures, form: Form) -> tuple[str, ...]:
    return _difference(f, form), _rate(f, form), *_altitude_due(f, form)


def _altitude_due(f: Figures, form: Form) -> tuple[str, ...]:
    return (_joined(_vertical(f, form), _after("at", _range(f, form))),)


def _near_minimum(f: Figures, form: Form) -> tuple[str, ...]:
    to_go = "" if f.difference_ft is None else f"{form.altitude(abs(f.difference_ft))} above "
    return f"{to_go}minimum", _vertical(f, form, is_minimum=True)


def _minimum(f: Figures, form: Form) -> tuple[str, ...]:
    return _after("minimum,", _vertical(f, form, is_minimum=True)) or "minimum", "visual?"


def _go_around(f: Figures, form: Form) -> tuple[str, ...]:
    climb = _after("climb", _vertical(f, form))
    return form.text(f.event or ""), "go around", climb, _joined(_turn(f, form), form.text(f.item or ""))


def _climb(f: Figures, form: Form) -> tuple[str, ...]:
    up = _joined("climb", _vertical(f, form))
    return form.text(f.event or ""), up, _joined(_turn(f, form), form.text(f.item or ""))


def _land(f: Figures, form: Form) -> tuple[str, ...]:
    by = "" if f.angle_deg is None else f", {form.degrees(form.whole(f.angle_deg))}"
    return "land", f"runway {f.side or 'ahead'}{by}", _rate(f, form)


def _challenge(f: Figures, form: Form) -> tuple[str, ...]:
    heard = _readings(f, form)
    return f"say again {form.text(f.item or 'position')}", f"heard {heard}?" if heard else ""


def _say_again(f: Figures, form: Form) -> tuple[str, ...]:
    return (f"say again, heard {form.text(f.text)}?" if f.text else "say again",)


# The bare word was taken for "This recorded" and "Definitely not good" (docs/voice.md).
_IN_FULL = {"disregarded": "report disregarded"}


def _confirm(f: Figures, form: Form) -> tuple[str, ...]:
    item, heard = form.text(_IN_FULL.get(f.item or "", f.item or "")), _readings(f, form)
    return ("" if heard.lower().startswith(item.lower()) else item), heard


def _not_yet(f: Figures, form: Form) -> tuple[str, ...]:
    return "not yet", _event_at(f, form), _turn(f, form), _after("maintain", _vertical(f, form))


def _position(f: Figures, form: Form) -> tuple[str, ...]:
    age = "" if f.time_s is None else f"{form.time(f.time_s)} ago"
    radial = "" if f.radial_deg is None else f"{form.radial_prefix}{form.bearing(f.radial_deg)}"
    return ", ".join(part for part in (_range(f, form), radial) if part), age


def _frequency(f: Figures, form: Form) -> tuple[str, ...]:
    number = "" if f.frequency_mhz is None else form.frequency(f.frequency_mhz)
    return (", ".join(part for part in (form.text(f.event or ""), number) if part),)


_RENDERERS: Final[dict[CalloutKind, Renderer]] = {
    CalloutKind.PREPARE: _prepare,
    CalloutKind.NEXT: _next,
    CalloutKind.CHECK: lambda f, form: (_joined("check", form.text(f.item or "")),),
    CalloutKind.TURN: lambda f, form: (form.text(f.event or ""), _turn(f, form)),
    CalloutKind.HOLD_ENTRY: _hold_entry,
    CalloutKind.OUTBOUND: _flown,
    CalloutKind.INBOUND_TURN: _inbound_turn,
    CalloutKind.HEADING: lambda f, form: (form.text(f.event or ""), _turn(f, form)),
    CalloutKind.ARC_OFFSET: _arc_offset,
    CalloutKind.COURSE_OFFSET: _course_offset,
    CalloutKind.DESCEND: _descend,
    CalloutKind.FINAL_DESCENT: _final_descent,
    CalloutKind.MAINTAIN: _maintain,
    CalloutKind.LEVEL_OFF: lambda f, form: (_joined("approaching", _vertical(f, form)),),
    CalloutKind.HEIGHT_CHECK: _height_check,
    CalloutKind.ALTITUDE_DUE: _altitude_due,
    CalloutKind.FLOOR: lambda f, form: (form.text(f.event or ""), _joined("not below", _vertical(f, form))),
    CalloutKind.SET_ALTIMETER: lambda f, form: (_joined("set", _setting(f, form)),),
    CalloutKind.VISUAL_DESCENT_POINT: lambda f, form: (
        form.text(f.event or "visual descent point"),
        _range(f, form),
    ),
    CalloutKind.NEAR_MINIMUM: _near_minimum,
    CalloutKind.MINIMUM_IS: lambda f, form: (_joined("minimum", _vertical(f, form, is_minimum=True)),),
    CalloutKind.MINIMUM: _minimum,
    CalloutKind.GO_AROUND: _go_around,
    CalloutKind.CLIMB: _climb,
    CalloutKind.LAND: _land,
    CalloutKind.BELOW_FLOOR: lambda f, form: (_after("climb", _vertical(f, form)), "below minimum altitude"),
    CalloutKind.CHALLENGE: _challenge,
    CalloutKind.CHECK_ALTIMETER: lambda f, form: ("check altimeter", _setting(f, form)),
    CalloutKind.NOT_YET: _not_yet,
    CalloutKind.SAY_POSITION: lambda f, form: (f"report {form.text(f.item or 'position')}",),
    CalloutKind.SAY_AGAIN: _say_again,
    CalloutKind.REPEAT: lambda f, form: (form.text(f.text or "say again"),),
    CalloutKind.POSITION: _position,
    CalloutKind.WIND: lambda f, form: (_wind(f, form),),
    CalloutKind.RATE: lambda f, form: (_rate(f, form),),
    CalloutKind.SECTOR_ALTITUDE: lambda f, form: (_joined("sector altitude", _vertical(f, form)),),
    CalloutKind.FREQUENCY: _frequency,
    CalloutKind.TEXT: lambda f, form: (form.text(f.text or ""),),
    CalloutKind.CONFIRM: _confirm,
    CalloutKind.UNKNOWN: lambda f, form: (f"no {form.text(f.item or 'answer')} known",),
}
