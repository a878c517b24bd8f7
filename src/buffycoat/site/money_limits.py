"""What a unit is worth to the site, so that losses can be told in money."""

from buffycoat.site.limit import Limit, whole

OWN = "The site's own. 0: not told."
MOST = 100_000
MONEY = (
    Limit(key="currency", title="Currency", default="money", source="The site's own."),
    whole("value_whole_blood", "A unit of whole blood is worth", "of the currency", 0, 0, MOST, OWN),
    whole("value_red_cells", "A unit of red cells is worth", "of the currency", 0, 0, MOST, OWN),
    whole("value_plasma", "A unit of plasma is worth", "of the currency", 0, 0, MOST, OWN),
)
