"""Options and fixtures of the whole suite."""

import pytest
from command_line import CommandLine


def pytest_addoption(parser):
    parser.addoption(
        "--accept-golden",
        action="store_true",
        help="rewrite tests/golden/*.txt with what comes out now; review the diff like code",
    )


@pytest.fixture
def command(tmp_path, monkeypatch, capsys):
    """The command line, with an empty home folder."""
    return CommandLine(tmp_path, monkeypatch, capsys)
