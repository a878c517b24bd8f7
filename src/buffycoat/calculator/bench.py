"""The calculators of the bench: from the draw to the label."""

from buffycoat.calculator import drawings, shown
from buffycoat.calculator.calculator import calc
from buffycoat.science import (
    balance,
    centrifuge,
    changes_of_state,
    composition,
    densities,
    numbering,
    reconcile,
    settling,
    shelf_life,
    weighing,
)

CENTRIFUGE = (
    calc("rcf", "Field from speed", centrifuge.rcf_from_rpm, "Field", "× g", 1),
    calc("rpm", "Speed from field", centrifuge.rpm_from_rcf, "Speed", "rpm", 1),
    calc("turning", "Radians a second", centrifuge.rad_per_s, "Speed", "rad/s", 3),
    calc("derating", "Speed for a dense load", centrifuge.derated_rpm, "Highest speed allowed", "rpm", 1),
    calc("omega-squared-t", "Field over time, ω²t", centrifuge.angular_impulse, "ω²t", "rad²/s", 0),
    calc("hold", "Time at full speed that counts", centrifuge.equivalent_hold_s, "Equivalent time", "s"),
    calc("g-seconds", "Field over time, g·s", centrifuge.g_seconds, "Field over time", "g·s", 0),
    calc(
        "other-rotor",
        "A programme on another rotor",
        centrifuge.hold_s_for_other_rotor,
        "New time at full speed",
        "s",
    ),
    calc("imbalance", "Pull of an imbalance", centrifuge.imbalance_force_n, "Force at the axis", "N"),
    calc("clearing", "Clearing factor of a rotor", centrifuge.clearing_factor, "Clearing factor k", "h·S", 2),
    calc("lone-cell", "Sinking of a lone red cell", settling.lone_cell_um_per_s, "Speed", "µm/s", 4),
    calc(
        "packing",
        "How far the cells are packed",
        settling.settle,
        then=shown.settled,
        picture=drawings.column,
        say={"g_seconds": "Field over time, at the mean radius"},
    ),
)
BALANCE = (
    calc("load-rotor", "Load a rotor", balance.balance, then=shown.loading, picture=drawings.rotor),
    calc("imbalance-mass", "Mass out of balance", balance.residual_g, "Vector sum", "g", 2),
    calc("imbalance-vector", "Where a rotor pulls", balance.residual_vector_g, then=shown.vector),
    calc(
        "can-balance",
        "Can equal loads be balanced?",
        balance.can_balance,
        "Can be balanced",
        example_typed={"places": "6", "equal_loads": "4"},
    ),
)
COMPOSITION = (
    calc("draw", "What a draw puts in the bag", composition.draw, then=shown.content),
    calc("bag-volume", "Volume of a bag", densities.volume_ml, "Volume", "mL"),
    calc("bag-mass", "Mass of a bag's content", densities.mass_g, "Net mass", "g"),
    calc("bag-density", "Density of a bag", densities.density_g_per_ml, "Density", "g/mL", 4),
    calc(
        "bag-density-at",
        "Density of a bag at a temperature",
        densities.density_at_c,
        "Density",
        "g/mL",
        4,
        large=6,
        say={"to_c": "Temperature of the bag"},
    ),
    calc("bag-haematocrit", "Haematocrit of a bag", composition.haematocrit_of, "Haematocrit", "", 4),
    calc("bag-haemoglobin", "Haemoglobin in a bag", composition.haemoglobin_g, "Haemoglobin (estimate)", "g"),
    calc("citrate", "Citrate in a bag", composition.citrate_mmol, "Citrate", "mmol", 2),
    calc("plasma-phase", "All that is not red cells", composition.plasma_phase, then=shown.content),
    calc("plasma-ceiling", "The most plasma of a draw", composition.plasma_ceiling_ml, "Ceiling", "mL"),
    calc("express", "Press plasma off", composition.express_plasma, then=shown.left_and_taken, large=6),
    calc(
        "express-for-haematocrit",
        "Plasma to press off for a haematocrit",
        composition.plasma_to_express_ml_for_haematocrit,
        "To press off",
        "mL",
    ),
    calc(
        "express-for-share",
        "Plasma to press off, leaving a share",
        composition.plasma_to_express_ml_for_share_left,
        "To press off",
        "mL",
    ),
    calc(
        "additive",
        "Run additive in",
        composition.add_additive,
        then=shown.content,
        say={"additive_ml": "Additive to run in", "content_additive_ml": "Additive there already"},
    ),
    calc("pool", "Pool bags", composition.pool, then=shown.content),
    calc("split", "Split a bag", composition.split, then=shown.split, large=6),
    calc("sample", "Take a sample", composition.take_ml, then=shown.left_and_taken, large=6),
    calc(
        "layers",
        "Layers of a spun bag",
        composition.predicted_layers,
        then=shown.layers,
        large=6,
        picture=drawings.bag,
        say={"packed_haematocrit": "Haematocrit of the packed cells"},
    ),
)
SHELF_LIFE = (
    calc("expiry-days", "Expiry after days", shelf_life.last_moment_of_day, "Last moment of use"),
    calc("expiry-months", "Expiry after months", shelf_life.after_months, "Last moment of use"),
    calc("expiry-years", "Expiry after years", shelf_life.after_years, "Last moment of use"),
    calc("expiry-hours", "End after hours", shelf_life.after_hours, "End"),
    calc(
        "after-changes",
        "End after changes",
        changes_of_state.end_after_changes,
        "",
        say={"own_end": "End by itself", "opened_at": "Opened at", "thawed_at": "Thawed at"},
        asks=("end_without_additive", "irradiated_at", "opened_at", "thawed_at"),
    ),
    calc("frozen-as", "Was plasma frozen in time?", changes_of_state.plasma_frozen_as, "It is"),
    calc("shortest", "Shortest of several ends", shelf_life.shortest, "Earliest end"),
    calc("days-left", "Days left", shelf_life.days_left, "Days left", "days", 0),
    calc("expired", "Has it expired?", shelf_life.has_expired, "Expired"),
    calc("elapsed", "Time between two moments", shelf_life.elapsed, "Time that passed"),
    calc("to-utc", "Clock time to UTC", shelf_life.local_to_utc, then=shown.utc),
)
RECONCILE = (
    "One on each line: name = value = standard uncertainty. The names are drawn_g, pcv, anticoagulant_ml, plasma_g, "
    "cells_g, additive_ml, product_g and product_haematocrit; leave out what was not measured."
)
WEIGHED = "One on each line: name = grams = standard uncertainty, like: red cells = 254 = 2."
BALANCES = "One on each line, with one = and with + between names, like: blood = plasma + red cells."
WEIGHING = (
    calc(
        "mass-to-volume",
        "Mass to volume",
        weighing.volume_ml_from_mass,
        "Volume",
        "mL",
        say={"mass_g": "Net mass"},
    ),
    calc("volume-to-mass", "Volume to mass", weighing.mass_g_from_volume, "Net mass", "g"),
    calc(
        "target",
        "Target on the scale",
        weighing.target_gross_g,
        "Scale reading",
        "g",
        say={"volume_ml": "Blood wanted"},
    ),
    calc("blood-volume", "Blood volume of an animal", weighing.blood_volume_ml, "Blood volume", "mL", 0),
    calc(
        "largest-draw",
        "Largest draw",
        weighing.largest_draw_ml,
        "Largest draw",
        "mL",
        0,
        say={"share": "Share of the blood volume"},
    ),
    calc(
        "reconcile",
        "Reconcile the weighings of a donation",
        reconcile.reconcile_donation,
        then=shown.reconciled,
        large=1,
        hints={"measurements": RECONCILE},
    ),
    calc(
        "reconcile-weights",
        "Reconcile any weights",
        reconcile.reconcile_weights,
        then=shown.reconciled,
        large=1,
        say={"measurements": "Weights"},
        hints={"measurements": WEIGHED, "balances": BALANCES},
        example_typed={
            "measurements": "blood = 541 = 2\nplasma = 317 = 2\nplasma again = 288 = 2\nred cells = 254 = 2",
            "balances": "blood = plasma + red cells\nplasma = plasma again",
        },
    ),
)
NUMBERING = (
    calc("make-code", "Make a code", numbering.make_code, "Code"),
    calc("show-code", "Write a code in groups", numbering.show_code, "Code"),
    calc(
        "read-code",
        "Read a code",
        numbering.read_code,
        then=shown.code,
        example_typed={"text": "UKTRA-0004217-17"},
    ),
)
