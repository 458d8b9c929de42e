"""
Every flight in this folder comes out as it is written there.

PILOT and END lines are flown; STAGE and ASSIST lines are compared exactly. `pytest --accept-golden` rewrites
the files, comments kept; the diff is then reviewed like code.
"""

import difflib
from pathlib import Path

import pytest
from driver import ROOT, Flight
from golden_file import flown

FLIGHTS = sorted(Path(__file__).parent.glob("*.txt"))


@pytest.mark.parametrize("path", FLIGHTS, ids=lambda path: path.stem)
def test_the_flight_comes_out_as_written(path, request):
    written = path.read_text(encoding="utf-8")
    now = flown(written, str(path.relative_to(ROOT)), Flight.with_flags)

    if request.config.getoption("--accept-golden"):
        path.write_text(now, encoding="utf-8")
    elif now != written:
        diff = difflib.unified_diff(
            written.splitlines(), now.splitlines(), str(path), "flown now", lineterm="", n=4
        )
        pytest.fail("\n".join(diff), pytrace=False)
