"""What `leadradial sums` reads and prints: options or prompts to numbers, an answer to a table or JSON."""

import json
import re
import sys
from collections.abc import Mapping

import typer

from assistant.cli.errors import UserError
from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.nav.wind import Wind
from assistant.preferences.values import SettingError, setting_hpa, wind_at_level
from assistant.sums.answer import Answer, Figure
from assistant.sums.question import Choice, Input, Question, Range, Written

_NUMBER = re.compile(r"[-+]?(?:\d{1,6}(?:\.\d{0,4})?|\.\d{1,4})", re.ASCII)


def print_answer(question: Question, given: Mapping[str, str | None], *, as_json: bool) -> None:
    """Answer a question from its options, or from the prompt where none was given; UserError says why not."""
    asks = all(value is None for value in given.values())
    values = _asked(question) if asks else _from_options(question, given)
    try:
        answer = question.answer(**values)
    except (NoSolution, OutsideValidity) as error:
        raise UserError(str(error)) from None
    if as_json:
        typer.echo(json.dumps(_as_json(question, values, answer), indent=2, ensure_ascii=False))
    else:
        typer.echo("\n".join(_table(answer)))


def read_input(item: Input, text: str) -> object:
    """What was written for an input, as the sum takes it; UserError or SettingError says what is wanted."""
    kind, written = item.kind, text.strip()
    if kind is Written.WIND:
        wind = wind_at_level(written)
        if wind.altitude_ft:
            raise UserError(f"{item.option}: {text!r} is for one level; write for example {item.example}.")
        return Wind(wind.wind_from_mag_deg, wind.wind_kt)
    if kind is Written.SETTING:
        return setting_hpa(written)
    if isinstance(kind, Choice):
        return _chosen(item, kind, written)
    assert isinstance(kind, Range)  # noqa: S101  # the last of the three kinds; mypy cannot see it
    if not _NUMBER.fullmatch(written):
        raise UserError(f"{item.option}: {text!r} is no number; write for example {item.example}.")
    if not kind.low <= float(written) <= kind.high:
        raise UserError(
            f"{item.option}: {written} is not between {kind.low:g} and {kind.high:g} {kind.unit};"
            f" write for example {item.example}."
        )
    return float(written)


def _chosen(item: Input, kind: Choice, written: str) -> str:
    # A letter is enough where it is one word's only, and capitals do not matter.
    found = [word for word in kind.words if written and word.lower().startswith(written.lower())]
    if len(found) != 1:
        raise UserError(f"{item.option}: {written!r} is not one of {', '.join(kind.words)}.")
    return found[0]


def _from_options(question: Question, given: Mapping[str, str | None]) -> dict[str, object]:
    values: dict[str, object] = {}
    for item in question.inputs:
        text = given[item.parameter]
        text = item.default if text is None else text
        if text is None and item.wanted:
            raise UserError(
                f"--{item.option} is missing: {item.asks}, for example --{item.option} {item.example}."
            )
        if text is not None:
            values[item.parameter] = read_input(item, text)
    return values


def _asked(question: Question) -> dict[str, object]:
    """Every input from standard input; a bad answer is told why and asked again."""
    values: dict[str, object] = {}
    for item in question.inputs:
        value = _ask(item)
        if value is not None:
            values[item.parameter] = value
    return values


def _ask(item: Input) -> object:
    offered = f"[{item.default}]" if item.default is not None else f"(for example {item.example})"
    left_out = "" if item.wanted or item.default is not None else "; Enter leaves it out"
    while True:
        # Prompts go to standard error, so that what is on standard output is the answer alone.
        typer.echo(f"{item.asks} {offered}{left_out}: ", nl=False, err=True)
        line = sys.stdin.readline()
        if not line:
            typer.echo(err=True)
            raise UserError(f"The answers ended before the {item.option} was given.")
        text = line.strip() or item.default
        if text is None and not item.wanted:
            return None
        if text is None:
            typer.echo("  This one is wanted.", err=True)
            continue
        try:
            return read_input(item, text)
        except (UserError, SettingError) as error:
            typer.echo(f"  {error}", err=True)


def _table(answer: Answer) -> list[str]:
    """The figures in columns, then the rules in words, the remarks and the source."""
    rules = list(dict.fromkeys(figure.rule_is for figure in answer.figures if figure.rule_is))
    rows = [("", "exact", "rule of thumb", "difference")]
    rows += [_row(figure, rules) for figure in answer.figures]
    widths = [max(len(row[column]) for row in rows) for column in range(4)]
    lines = [
        f"{row[0]:{widths[0]}}  " + "  ".join(f"{row[column]:>{widths[column]}}" for column in (1, 2, 3))
        for row in rows
    ]
    lines += ["", *(f"[{number}] {rule}" for number, rule in enumerate(rules, start=1))]
    lines += [*answer.remarks, f"Source: {answer.source}"]
    return [line.rstrip() for line in lines]


def _row(figure: Figure, rules: list[str]) -> tuple[str, str, str, str]:
    mark = f" [{rules.index(figure.rule_is) + 1}]" if figure.rule is not None and figure.rule_is else ""
    # The mark follows the figure and its place stays kept where there is none, so that the digits line up.
    rule = figure.shown(figure.rule) + (mark or " " * 4)
    return figure.quantity, figure.shown(figure.exact), rule, figure.difference_shown


def _as_json(question: Question, values: Mapping[str, object], answer: Answer) -> dict[str, object]:
    return {
        "question": question.name,
        "inputs": {
            name: value._asdict() if isinstance(value, Wind) else value for name, value in values.items()
        },
        "figures": [
            {
                "name": figure.name,
                "quantity": figure.quantity,
                "unit": figure.unit.strip(),
                "exact": _json_number(figure.exact),
                "rule": _json_number(figure.rule),
                "rule_is": figure.rule_is or None,
                "difference": _json_number(figure.difference),
            }
            for figure in answer.figures
        ],
        "remarks": list(answer.remarks),
        "source": answer.source,
    }


def _json_number(value: float | None) -> float | None:
    # Six decimals are more than any figure is good for, and spare readers the tail of the binary fraction.
    return None if value is None else round(value, 6) + 0.0
