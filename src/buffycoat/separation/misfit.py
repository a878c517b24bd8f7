"""When weights disagree: which weighing of the donation most likely is the wrong one."""

from buffycoat.separation.contents import bag_g
from buffycoat.separation.rules import PLASMA, Separation
from buffycoat.site.rules import Limits


def why_they_disagree(
    state: Separation, part: str, content_g: int, plasma_bag_g: int | None, site: Limits
) -> str:
    """One sentence naming the weight to look at first, or all that the weights alone cannot tell apart.

    `content_g` is the new weight of the part; `plasma_bag_g` that of the plasma product, if it was weighed before.
    """
    # numpy and scipy take longer to load than all rules together, and are needed only when weights disagree.
    from buffycoat.science.reconcile import Measured, reconcile, say_misfit, sums

    assert state.expressed
    additive_g_per_ml = site.whole("additive_density_mg_per_ml") / 1000
    read = {"plasma_g": float(state.expressed.plasma_g), "plasma_bag_g": plasma_bag_g}
    rows = [{"plasma_g": 1.0, "plasma_bag_g": -1.0}]
    if part == PLASMA:
        read["plasma_bag_g"] = content_g
    else:
        read |= {"drawn_g": bag_g(state.draw, site), "product_g": content_g}
        rows.append({"drawn_g": 1.0, "plasma_g": -1.0, "product_g": -1.0})
        if state.additive_ml:
            read["additive_ml"] = state.additive_ml
            rows[-1]["additive_ml"] = additive_g_per_ml
    known = {name: value for name, value in read.items() if value is not None}
    balances = [row for row in rows if set(row) <= set(known)]
    sd_g = site.whole("weighing_tolerance_g") / 2
    measured = [
        Measured(name=name, value=value, sd=sd_g) for name, value in known.items() if _used(name, balances)
    ]
    pulls = {each: abs(each.pull or 0) for each in reconcile(measured, sums(*balances)).estimates.values()}
    found = [each for each, pull in pulls.items() if pull >= max(pulls.values()) * (1 - 1e-6)]
    if len(found) == 1:
        return say_misfit(found[0])
    return (
        "The weights alone cannot tell which is wrong: "
        + ", ".join(_named(each.name) for each in found)
        + "."
    )


def _used(name: str, balances: list[dict[str, float]]) -> bool:
    return any(name in row for row in balances)


def _named(name: str) -> str:
    return {
        "drawn_g": "the drawn bag",
        "plasma_g": "the plasma when it was pressed off",
        "plasma_bag_g": "the plasma bag",
        "additive_ml": "the additive",
        "product_g": "this bag",
    }[name]
