"""Models for vosk listed and fetched, with a bar of progress; see `adapters.speech_in.published_models`."""

from collections.abc import Iterator
from contextlib import contextmanager

import typer
from rich.console import Console
from rich.progress import BarColumn, DownloadColumn, Progress, TimeRemainingColumn

from assistant.adapters.speech_in.errors import HearingError
from assistant.adapters.speech_in.published_models import LIST_URL, PublishedModel, fetch, published_models
from assistant.adapters.speech_in.vosk_folders import model_folder, models_folder
from assistant.cli.errors import UserError


def show_path() -> None:
    """Print the folder of the model that vosk would use."""
    with _in_one_sentence():
        typer.echo(str(model_folder(None)))


def show_list(source: str) -> None:
    """Print the models that can be fetched, and mark those that were."""
    with _in_one_sentence():
        for model in published_models(source or LIST_URL):
            mark = "*" if (models_folder() / model.name).is_dir() else " "
            typer.echo(f"{mark} {model.name}  ({model.language}, {_size(model)})")


def fetch_model(name: str, source: str) -> None:
    """Fetch one model, unless it is there."""
    with _in_one_sentence():
        folder = models_folder()
        if name and (folder / name).is_dir():
            typer.echo(f"{folder / name} is there already.")
            return
        model = _chosen(name, published_models(source or LIST_URL))
        if (folder / model.name).is_dir():
            typer.echo(f"{folder / model.name} is there already.")
            return
        typer.echo(f"Fetching {model.url}, {_size(model)}.")
        screen = Console(stderr=True)
        bar = Progress(
            BarColumn(),
            DownloadColumn(),
            TimeRemainingColumn(),
            console=screen,
            transient=True,
            disable=not screen.is_terminal,
        )
        with bar:
            task = bar.add_task("", total=model.size_bytes)
            unpacked = fetch(model, folder, lambda arrived: bar.advance(task, arrived))
        typer.echo(f"{unpacked} is there. Use it with --recogniser vosk.")


def _chosen(name: str, models: tuple[PublishedModel, ...]) -> PublishedModel:
    wanted = [model for model in models if not name or model.name == name]
    if not wanted:
        there = ", ".join(model.name for model in models) or "none"
        raise HearingError(f"{name or 'a model'}: not in the list; there are {there}.")
    return wanted[0]


def _size(model: PublishedModel) -> str:
    return f"{model.size_bytes / 1e6:.0f} MB"


@contextmanager
def _in_one_sentence() -> Iterator[None]:
    try:
        yield
    except HearingError as error:
        raise UserError(str(error)) from error
