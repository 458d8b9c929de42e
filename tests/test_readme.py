"""The README stays true: its commands are there for CI to run, its session is one that comes out."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_job_stands_in_the_first_paragraph_and_the_caution_right_after():
    paragraphs = README.split("\n\n")

    assert "second person in your cockpit" in paragraphs[1]
    assert "Simulation and training only" in paragraphs[2]


def test_both_commands_stand_alone_on_a_line():
    commands = re.findall(r"^python -m pip install .*$", README, re.MULTILINE)

    assert [command.split("&&")[1].split()[0] for command in commands] == ["leadradial", "python"]


def test_the_session_is_one_that_comes_out(command):
    procedure, transcript = ROOT / "procedures/skarrow-tacan-24.yaml", ROOT / "tests/golden/skarrow-wind.txt"
    flown = command.run("replay", procedure, transcript).out.splitlines()
    session = re.search(r"^```\n(20:0.*?)\n```", README, re.MULTILINE | re.DOTALL).group(1).splitlines()

    assert session == flown[-len(session) :]


def test_every_link_leads_somewhere():
    for target in re.findall(r"\]\(([^)#]+)", README):
        assert (ROOT / target).exists(), target
