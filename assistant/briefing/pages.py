"""The page written to a file: drawn for paper, or as one self-contained file for a browser."""

from collections.abc import Callable
from pathlib import Path
from typing import Final

import matplotlib as mpl

from assistant.briefing.content import Brief
from assistant.briefing.sheet import sheet
from assistant.briefing.web_page import web_page
from assistant.engine.plan import Plan

_DOTS_PER_INCH = 200


class PageError(Exception):
    """A page that cannot be written, in one sentence with the remedy."""


def write_page(path: Path, plan: Plan, brief: Brief) -> None:
    """Write the page, of the kind of the file's ending. PageError where that, or the place, is no use."""
    ending = path.suffix.lower()
    if ending not in _WRITERS:
        shown = f"{ending!r}" if ending else "no ending"
        raise PageError(f"{path}: cannot write a page with {shown}; use .html, .pdf or .png.")
    try:
        # The font that matplotlib brings along, so that a page looks the same on every machine, and no ids
        # that differ from run to run.
        with mpl.rc_context(
            {
                "font.family": "DejaVu Sans",
                "svg.hashsalt": "leadradial",
                "pdf.fonttype": 42,
                "hatch.linewidth": 0.5,
                "axes.linewidth": 0.8,
            }
        ):
            _WRITERS[ending](path, plan, brief)
    except OSError as error:
        raise PageError(
            f"{path}: cannot be written ({error.strerror or error}); choose another place."
        ) from error


def _html(path: Path, plan: Plan, brief: Brief) -> None:
    path.write_text(web_page(plan, brief), encoding="utf-8")


def _pdf(path: Path, plan: Plan, brief: Brief) -> None:
    sheet(plan, brief).savefig(path, format="pdf", metadata={"CreationDate": None, "Title": brief.title})


def _png(path: Path, plan: Plan, brief: Brief) -> None:
    sheet(plan, brief).savefig(path, format="png", dpi=_DOTS_PER_INCH, metadata={"Title": brief.title})


_WRITERS: Final[dict[str, Callable[[Path, Plan, Brief], None]]] = {".html": _html, ".pdf": _pdf, ".png": _png}
