"""The colours of the page: what is flown is strong, what it is flown by is pale; legible in grey as well."""

from typing import Final

from assistant.briefing.tracks import Kind

INK: Final = "#14181d"
SOFT: Final = "#4c5661"
FAINT: Final = "#b9c1ca"
PALE: Final = "#dfe4e9"
AREA: Final = "#a3322a"
MISSED: Final = "#b0431d"
WIND: Final = "#5a3e99"
GROUND: Final = "#d9d2c4"
BAND: Final = "#eef3f8"
LINE_COLOURS: Final = {Kind.HOLD: "#0f766e", Kind.APPROACH: "#0b4f8a", Kind.MISSED: MISSED}
