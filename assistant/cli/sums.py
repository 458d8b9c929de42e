"""`leadradial sums`: single questions, the exact value with the rule of thumb beside it."""

import inspect
from collections.abc import Callable
from typing import Annotated, Any

import typer

from assistant.sums.question import Choice, Input, Question, Range
from assistant.sums.questions import QUESTIONS

_EPILOG = """
\b
Examples:
  leadradial sums wind --track 243 --tas 150 --wind 250/25
  leadradial sums hold --course 165 --turn right --tas 210 --wind 250/25 --heading 200
  leadradial sums cold --temperature -15 --height 1500 --json
  leadradial sums descent            without options it asks
"""


def register(app: typer.Typer) -> None:
    """Add the group of commands."""
    group = typer.Typer(
        no_args_is_help=True, rich_markup_mode=None, context_settings={"help_option_names": ["-h", "--help"]}
    )
    for question in QUESTIONS:
        group.command(name=question.name, help=question.about, epilog=_epilog(question))(_command(question))
    app.add_typer(
        group,
        name="sums",
        help="Answer single questions: the exact value, the rule of thumb beside it, the source.",
        epilog=_EPILOG,
    )


def _epilog(question: Question) -> str:
    return (
        f"\n\b\nExamples:\n  leadradial sums {question.name} {question.example}\n"
        f"  leadradial sums {question.name}            asks for each\n"
    )


def _command(question: Question) -> Callable[..., None]:
    """A command with one option for each of the question's inputs, all of them text until it is run."""

    def command(**values: Any) -> None:  # noqa: ANN401  # typer passes what it parsed
        from assistant.cli.sums_shown import print_answer  # noqa: PLC0415  # heavy; --help must be instant

        as_json = values.pop("json")
        print_answer(question, values, as_json=as_json)

    json_option = Annotated[bool, typer.Option("--json", help="Print the figures as JSON.")]
    parameters = [
        *(_parameter(item) for item in question.inputs),
        inspect.Parameter("json", inspect.Parameter.KEYWORD_ONLY, default=False, annotation=json_option),
    ]
    command.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]  # what typer inspects
    command.__annotations__ = {parameter.name: parameter.annotation for parameter in parameters}
    return command


def _parameter(item: Input) -> inspect.Parameter:
    default = (
        f" [{item.default}]" if item.default is not None else "" if item.wanted else " [may be left out]"
    )
    option = typer.Option(f"--{item.option}", metavar=_metavar(item), help=f"{_help(item)}.{default}")
    return inspect.Parameter(
        item.parameter,
        inspect.Parameter.KEYWORD_ONLY,
        default=None,
        annotation=Annotated[str | None, option],
    )


def _metavar(item: Input) -> str:
    return "|".join(item.kind.words) if isinstance(item.kind, Choice) else item.example


def _help(item: Input) -> str:
    limits = f" ({item.kind.low:g} to {item.kind.high:g})" if isinstance(item.kind, Range) else ""
    return f"{item.asks[0].upper()}{item.asks[1:]}{limits}"
