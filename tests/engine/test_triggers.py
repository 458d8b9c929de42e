"""Triggers as they are named where no fix has a name for them."""

import pytest

from assistant.engine.triggers import AltitudeCrossed, DmeReached, RadialReached, TimeElapsed


@pytest.mark.parametrize(
    ("trigger", "text"),
    [
        (RadialReached(radial_deg=63.4), "radial 063"),
        (RadialReached(radial_deg=0.0), "radial 360"),
        (RadialReached(radial_deg=360.0), "radial 360"),
        (RadialReached(radial_deg=1.0), "radial 001"),
        (RadialReached(radial_deg=359.6), "radial 360"),
        (DmeReached(dme_nm=6.25, closing=True), "6.2 DME closing"),
        (DmeReached(dme_nm=23.0, closing=False), "23.0 DME opening"),
        (AltitudeCrossed(altitude_ft=1500.0, descending=False), "1500 ft climbing"),
        (AltitudeCrossed(altitude_ft=1499.6, descending=True), "1500 ft descending"),
        (TimeElapsed(time_s=59.6), "60 s"),
    ],
)
def test_a_trigger_says_what_it_is(trigger, text):
    assert str(trigger) == text
