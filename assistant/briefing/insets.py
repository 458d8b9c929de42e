"""What stands in the empty places of the plan view: wind and north, the scale, the sectors."""

from matplotlib.axes import Axes
from matplotlib.patches import Circle

from assistant.briefing.content import Brief, SectorBrief
from assistant.briefing.labels import Placer
from assistant.briefing.style import FAINT, INK, SOFT, WIND
from assistant.briefing.words import degrees
from assistant.engine.plan import Plan
from assistant.engine.today import Today
from assistant.nav.geometry import plane_from_polar

_SECTORS_PT = 92.0
_COMPASS_PT = (66.0, 62.0)
_SCALE_PT = (84.0, 20.0)
_SCALES_NM = (1.0, 2.0, 5.0, 10.0, 20.0)


def draw_insets(axes: Axes, placer: Placer, plan: Plan, brief: Brief) -> None:
    """Each in the emptiest place that is left, the largest first."""
    if brief.sectors:
        _sectors(axes, placer.free_place(_SECTORS_PT, _SECTORS_PT), brief)
    _compass(axes, placer.free_place(*_COMPASS_PT), plan)
    _scale(axes, placer.free_place(*_SCALE_PT))


def _data(axes: Axes, x: float, y: float) -> tuple[float, float]:
    """A place on the figure (points) in the axes' units."""
    found = axes.transData.inverted().transform((x, y))
    return float(found[0]), float(found[1])


def _nm_per_pt(axes: Axes) -> float:
    low, high = axes.get_xlim()
    return (high - low) / float(axes.get_window_extent().width)


def _sectors(axes: Axes, corner: tuple[float, float], brief: Brief) -> None:
    """Minimum safe altitudes: a small dial of the radials that part the sectors."""
    radius = _SECTORS_PT / 2.0 - 8.0
    middle = (corner[0] + _SECTORS_PT / 2.0, corner[1] + _SECTORS_PT / 2.0)
    nm_per_pt = _nm_per_pt(axes)
    x, y = _data(axes, *middle)
    axes.add_patch(
        Circle((x, y), radius * nm_per_pt, facecolor="white", edgecolor=SOFT, linewidth=1.0, zorder=8)
    )
    for sector in brief.sectors:
        all_round = sector.from_radial_deg == sector.to_radial_deg
        if not all_round:
            edge = plane_from_polar(sector.from_radial_deg, radius)
            ex, ey = _data(axes, middle[0] + edge.east_nm, middle[1] + edge.north_nm)
            axes.plot([x, ex], [y, ey], color=SOFT, linewidth=1.0, zorder=9)
            outer = plane_from_polar(sector.from_radial_deg, radius + 1.0)
            tx, ty = _data(axes, middle[0] + outer.east_nm, middle[1] + outer.north_nm)
            axes.text(
                tx,
                ty,
                degrees(sector.from_radial_deg),
                fontsize=8,
                color=SOFT,
                ha="center",
                va="center",
                zorder=10,
                bbox={"boxstyle": "square,pad=0.05", "facecolor": "white", "alpha": 0.9, "linewidth": 0.0},
            )
        at = plane_from_polar(_middle_deg(sector), 0.0 if all_round else 0.55 * radius)
        tx, ty = _data(axes, middle[0] + at.east_nm, middle[1] + at.north_nm)
        text = f"{sector.minimum.indicated_ft:.0f}\n{sector.minimum.datum.value.upper()}"
        axes.text(tx, ty, text, fontsize=8, color=INK, ha="center", va="center", zorder=10, linespacing=1.0)


def _middle_deg(sector: SectorBrief) -> float:
    return sector.from_radial_deg + ((sector.to_radial_deg - sector.from_radial_deg) % 360.0) / 2.0


def _compass(axes: Axes, corner: tuple[float, float], plan: Plan) -> None:
    """North of the radials, and today's wind at the final's level as an arrow that blows."""
    x0, y0 = corner
    arrow = {"arrowstyle": "-|>", "linewidth": 1.2, "color": INK}
    axes.annotate(
        "",
        xy=_data(axes, x0 + 14.0, y0 + 58.0),
        xytext=_data(axes, x0 + 14.0, y0 + 34.0),
        arrowprops=arrow,
        zorder=9,
    )
    axes.text(
        *_data(axes, x0 + 14.0, y0 + 32.0), "N mag", fontsize=8, color=INK, ha="center", va="top", zorder=9
    )
    wind = Today(procedure=plan.procedure, conditions=plan.conditions).wind(plan.minimum_ft)
    if wind.speed_kt < 1.0:
        text = "calm"
    else:
        text = f"{degrees(wind.from_deg)}/{wind.speed_kt:.0f}"
        to = plane_from_polar(wind.from_deg + 180.0, 13.0)
        middle = (x0 + 46.0, y0 + 44.0)
        axes.annotate(
            "",
            xy=_data(axes, middle[0] + to.east_nm, middle[1] + to.north_nm),
            xytext=_data(axes, middle[0] - to.east_nm, middle[1] - to.north_nm),
            arrowprops={"arrowstyle": "-|>", "linewidth": 2.4, "color": WIND},
            zorder=9,
        )
    axes.text(
        *_data(axes, x0 + 33.0, y0 + 12.0),
        f"wind {text}" + ("\nat the minimum" if len(plan.conditions.wind) > 1 else ""),
        fontsize=8,
        fontweight="bold",
        color=WIND,
        ha="center",
        va="center",
        zorder=9,
    )


def _scale(axes: Axes, corner: tuple[float, float]) -> None:
    """A bar of whole miles."""
    nm_per_pt = _nm_per_pt(axes)
    room_nm = (_SCALE_PT[0] - 24.0) * nm_per_pt
    length_nm = max((step for step in _SCALES_NM if step <= room_nm), default=_SCALES_NM[0])
    x, y = _data(axes, corner[0] + 4.0, corner[1] + 8.0)
    axes.plot([x, x + length_nm], [y, y], color=INK, linewidth=3.0, solid_capstyle="butt", zorder=9)
    axes.plot(
        [x + length_nm / 2.0, x + length_nm],
        [y, y],
        color=FAINT,
        linewidth=1.6,
        solid_capstyle="butt",
        zorder=9,
    )
    axes.text(
        x + length_nm + 4.0 * nm_per_pt,
        y,
        f"{length_nm:.0f} NM",
        fontsize=8,
        color=INK,
        ha="left",
        va="center",
        zorder=9,
    )
