"""Limits on temperatures: when an alarm opens, and what a unit may have been through."""

from buffycoat.site.limit import COMMON, Limit, whole

ONCE = "UK animal blood bank: 1 to 10 °C, at most 5 h, once only, in a documented system, with a record."

TEMPERATURES: tuple[Limit, ...] = (
    whole(
        "alarm_after_min",
        "An alarm opens when a place is out of its range for longer than",
        "min",
        30,
        0,
        240,
        "A note of one maker of refrigeration: 30 min. Others alarm at once (0), within 0.5 °C of the range (AU).",
    ),
    whole(
        "sensor_silent_min", "A sensor that pushes its readings is silent after", "min", 60, 5, 1_440, COMMON
    ),
    whole("logger_read_out_days", "A logger is read out at least every", "days", 7, 1, 90, COMMON),
    whole(
        "hand_reading_h",
        "A place is read by hand at least every",
        "h",
        14,
        1,
        48,
        "UK animal blood bank: least and most are read and written down twice a day; 14 h leaves room for a late one.",
    ),
    whole(
        "alarm_tells_more_min",
        "An alarm that nobody has taken goes out by e-mail after",
        "min",
        15,
        0,
        1_440,
        COMMON,
    ),
    whole("excursion_least_c", "A unit from the fridge may have been as cold as", "°C", 1, 0, 6, ONCE),
    whole("excursion_most_c", "A unit from the fridge may have been as warm as", "°C", 10, 4, 15, ONCE),
    whole("excursion_longest_min", "A unit may have been outside its range for", "min", 300, 0, 600, ONCE),
    whole(
        "freezer_excursion_most_c",
        "A unit from the freezer may have been as warm as",
        "°C",
        -10,
        -40,
        0,
        "From memory, low certainty: plasma stays hard below about -10 °C. No published figure found.",
    ),
)
