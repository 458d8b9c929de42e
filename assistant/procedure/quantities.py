"""
The numbers of a procedure file: their units' plausible ranges, for the checks on loading and for the schema.

The limits are there to catch a slipped digit or a wrong unit (a height in metres, a range in km would often
pass), not to judge a procedure. Strict: text and true/false are no numbers; NaN and infinity are refused
everywhere.
"""

from typing import Annotated, ClassVar

from pydantic import ConfigDict, Field


class Record:
    """Base of every group of keys in a file: unknown keys are refused, attribute docstrings are published."""

    __slots__ = ()
    __pydantic_config__: ClassVar[ConfigDict] = ConfigDict(extra="forbid", use_attribute_docstrings=True)


# 0 and 360 are both written for north, so both are taken.
AngleDeg = Annotated[float, Field(strict=True, ge=0.0, le=360.0, allow_inf_nan=False)]
LatitudeDeg = Annotated[float, Field(strict=True, ge=-90.0, le=90.0, allow_inf_nan=False)]
LongitudeDeg = Annotated[float, Field(strict=True, ge=-180.0, le=180.0, allow_inf_nan=False)]
DeclinationDeg = Annotated[float, Field(strict=True, ge=-180.0, le=180.0, allow_inf_nan=False)]
# Steeper than 6.5 degrees is no straight-in final approach of any published design rule.
DescentAngleDeg = Annotated[float, Field(strict=True, ge=1.0, le=6.5, allow_inf_nan=False)]

# Stations are received to some 200 NM; a set reads no negative range.
RangeNm = Annotated[float, Field(strict=True, ge=0.0, le=200.0, allow_inf_nan=False)]
DistanceNm = Annotated[float, Field(strict=True, gt=0.0, le=200.0, allow_inf_nan=False)]

# The lowest airfields lie some 1,300 ft below the sea, the highest some 14,500 ft above it.
ElevationFt = Annotated[float, Field(strict=True, ge=-1500.0, le=16000.0, allow_inf_nan=False)]
VerticalFt = Annotated[float, Field(strict=True, ge=-1500.0, le=60000.0, allow_inf_nan=False)]
HeightFt = Annotated[float, Field(strict=True, ge=0.0, le=60000.0, allow_inf_nan=False)]
CrossingHeightFt = Annotated[float, Field(strict=True, ge=0.0, le=200.0, allow_inf_nan=False)]
Level = Annotated[float, Field(strict=True, ge=10.0, le=600.0, allow_inf_nan=False)]

TimeS = Annotated[float, Field(strict=True, gt=0.0, le=600.0, allow_inf_nan=False)]
SpeedKt = Annotated[float, Field(strict=True, ge=40.0, le=600.0, allow_inf_nan=False)]
VisibilityM = Annotated[float, Field(strict=True, ge=0.0, le=20000.0, allow_inf_nan=False)]
LengthM = Annotated[float, Field(strict=True, gt=0.0, le=6000.0, allow_inf_nan=False)]
FrequencyMhz = Annotated[float, Field(strict=True, ge=100.0, le=400.0, allow_inf_nan=False)]

# A fix or station is said aloud and heard, so its name is one word.
Ident = Annotated[str, Field(min_length=1, max_length=16, pattern=r"^[A-Z0-9][A-Z0-9/-]*$")]
# Channels 1 to 126, each with its letters (ICAO Annex 10, Volume I, 3.5).
CHANNEL_PATTERN = "^([1-9]|[1-9][0-9]|1[01][0-9]|12[0-6])[WXYZ]$"
Channel = Annotated[str, Field(pattern=CHANNEL_PATTERN)]
Text = Annotated[str, Field(min_length=1, max_length=2000)]
