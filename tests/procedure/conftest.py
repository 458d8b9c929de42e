"""The demonstration files, and a way to break one of them in one place."""

from collections.abc import Callable
from pathlib import Path

import pytest

FOLDER = Path(__file__).parents[2] / "procedures"


@pytest.fixture(scope="session")
def skarrow() -> str:
    """Hold, arc, lead radial, offset final approach: the file that most tests break."""
    return (FOLDER / "skarrow-tacan-24.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def lunmar() -> str:
    """Base turn."""
    return (FOLDER / "lunmar-vor-dme-10.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def teskel() -> str:
    """Straight in, aligned with the runway, heights on QFE."""
    return (FOLDER / "teskel-vortac-06.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def broken() -> Callable[[str, str, str], str]:
    """A text with one passage replaced; the passage must be there exactly once, or the test tests nothing."""

    def replace(text: str, old: str, new: str) -> str:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in the file"
        return text.replace(old, new)

    return replace
