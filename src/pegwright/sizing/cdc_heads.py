"""Children's heads in the United States' growth charts, birth to three years.

Centers for Disease Control and Prevention, growth charts, head circumference for age (table
hcageinf): L, M and S by age.  With z the standard normal quantile, a percentile is
M (1 + L S z)^(1/L) (Cole's method, as the charts themselves state).  Ages are those of the table,
the middle of each month; between them L, M and S run straight.

The children measured are another population than those of the World Health Organization's
standards: at birth the two differ by more than a centimetre.
"""

from __future__ import annotations

from bisect import bisect_right

from pegwright.errors import BadInput, Place
from pegwright.measured import Measured
from pegwright.sizing.heads import HeadSize, Mark, Sex, mixed_heads
from pegwright.units import require_finite

__all__ = ["CDC_MONTHS", "CDC_SOURCE", "cdc_head"]

CDC_MONTHS = 36.0
"""The table ends here, at three years."""

CDC_SOURCE = "CDC growth charts, head circumference for age (table hcageinf)"

# Sex: (age in months, L, M in cm, S), to six digits.
_TABLE: dict[Sex, tuple[tuple[float, float, float, float], ...]] = {
    Sex.MALE: (
        (0, 4.42783, 35.8137, 0.0521725),
        (0.5, 4.31093, 37.1936, 0.0472591),
        (1.5, 3.86958, 39.2074, 0.0409479),
        (2.5, 3.30559, 40.6523, 0.0370277),
        (3.5, 2.72059, 41.7652, 0.0343642),
        (4.5, 2.16805, 42.6612, 0.0324622),
        (5.5, 1.67547, 43.4049, 0.0310647),
        (6.5, 1.25516, 44.0361, 0.0300227),
        (7.5, 0.910541, 44.581, 0.0292422),
        (8.5, 0.63951, 45.0576, 0.0286605),
        (9.5, 0.436979, 45.4791, 0.0282336),
        (10.5, 0.296276, 45.8551, 0.0279298),
        (11.5, 0.210107, 46.193, 0.0277252),
        (12.5, 0.171147, 46.4985, 0.0276017),
        (13.5, 0.172394, 46.7764, 0.0275451),
        (14.5, 0.207372, 47.0302, 0.0275444),
        (15.5, 0.270226, 47.263, 0.0275904),
        (16.5, 0.355757, 47.4772, 0.027676),
        (17.5, 0.459408, 47.675, 0.0277951),
        (18.5, 0.577228, 47.8582, 0.0279429),
        (19.5, 0.705827, 48.0282, 0.0281152),
        (20.5, 0.842319, 48.1864, 0.0283087),
        (21.5, 0.984267, 48.3338, 0.0285204),
        (22.5, 1.12963, 48.4714, 0.0287479),
        (23.5, 1.27669, 48.6001, 0.0289891),
        (24.5, 1.42408, 48.7206, 0.0292422),
        (25.5, 1.57062, 48.8337, 0.0295057),
        (26.5, 1.71539, 48.9398, 0.0297783),
        (27.5, 1.85765, 49.0395, 0.0300589),
        (28.5, 1.99681, 49.1332, 0.0303464),
        (29.5, 2.13241, 49.2215, 0.03064),
        (30.5, 2.26411, 49.3046, 0.030939),
        (31.5, 2.39166, 49.3829, 0.0312427),
        (32.5, 2.51488, 49.4568, 0.0315505),
        (33.5, 2.63366, 49.5264, 0.031862),
        (34.5, 2.74795, 49.5922, 0.0321767),
        (35.5, 2.85773, 49.6542, 0.0324942),
        (36, 2.91093, 49.6839, 0.0326539),
    ),
    Sex.FEMALE: (
        (0, -1.29875, 34.7116, 0.0469051),
        (0.5, -1.44027, 36.0345, 0.0429996),
        (1.5, -1.58102, 37.9767, 0.0380679),
        (2.5, -1.59314, 39.3801, 0.0350796),
        (3.5, -1.52149, 40.4677, 0.0330964),
        (4.5, -1.39457, 41.3484, 0.0317096),
        (5.5, -1.23171, 42.0834, 0.030709),
        (6.5, -1.04658, 42.7103, 0.0299743),
        (7.5, -0.848933, 43.2543, 0.029431),
        (8.5, -0.645779, 43.7325, 0.0290304),
        (9.5, -0.442165, 44.1574, 0.0287391),
        (10.5, -0.241632, 44.5384, 0.0285335),
        (11.5, -0.0466738, 44.8824, 0.0283964),
        (12.5, 0.141031, 45.1951, 0.0283147),
        (13.5, 0.320403, 45.4808, 0.0282787),
        (14.5, 0.490807, 45.7431, 0.0282806),
        (15.5, 0.651935, 45.9849, 0.0283144),
        (16.5, 0.803718, 46.2086, 0.0283752),
        (17.5, 0.94626, 46.4162, 0.028459),
        (18.5, 1.07978, 46.6095, 0.0285628),
        (19.5, 1.2046, 46.7899, 0.0286837),
        (20.5, 1.32108, 46.9586, 0.0288195),
        (21.5, 1.4296, 47.1168, 0.0289685),
        (22.5, 1.5306, 47.2654, 0.0291289),
        (23.5, 1.62448, 47.4052, 0.0292994),
        (24.5, 1.71166, 47.5369, 0.0294789),
        (25.5, 1.79255, 47.6612, 0.0296664),
        (26.5, 1.86755, 47.7787, 0.029861),
        (27.5, 1.93703, 47.8898, 0.0300618),
        (28.5, 2.00136, 47.9951, 0.0302684),
        (29.5, 2.06087, 48.0949, 0.03048),
        (30.5, 2.11589, 48.1896, 0.0306961),
        (31.5, 2.16672, 48.2796, 0.0309164),
        (32.5, 2.21365, 48.3651, 0.0311404),
        (33.5, 2.25694, 48.4465, 0.0313677),
        (34.5, 2.29684, 48.524, 0.0315979),
        (35.5, 2.33359, 48.5978, 0.0318309),
        (36, 2.35085, 48.6334, 0.0319484),
    ),
}

_NAMES = {Sex.MALE: "boys", Sex.FEMALE: "girls", None: "children"}


def cdc_head(months: float, sex: Sex | None = None) -> HeadSize:
    """Children's heads at an age.

    :param months: completed months and parts of them, 0 to 36.
    :param sex: None takes girls and boys in equal parts.
    :raises BadInput: for an age outside the table.
    """
    require_finite(months, "age_months")
    if not 0 <= months <= CDC_MONTHS:
        raise BadInput(
            "these growth charts run from birth to three years",
            given=f"{months:g} months",
            hint="use the World Health Organization's table, to five years, or measure the head",
            place=Place(field="age_months"),
        )
    sizes = [_head(months, each) for each in ((sex,) if sex else tuple(Sex))]
    return mixed_heads(f"{_NAMES[sex]} of {months:g} months", sizes, CDC_SOURCE, Mark.READ)


def _head(months: float, sex: Sex) -> HeadSize:
    table = _TABLE[sex]
    after = min(bisect_right([row[0] for row in table], months), len(table) - 1)
    low, high = table[after - 1], table[after]
    part = (months - low[0]) / (high[0] - low[0])
    skew, median, spread = (a + part * (b - a) for a, b in zip(low[1:], high[1:], strict=True))
    size = Measured(10 * median, 10 * median * spread)
    return HeadSize(_NAMES[sex], size, CDC_SOURCE, Mark.READ, skew)
