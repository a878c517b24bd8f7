"""The donors of the demo and the people they live with. Every one of them is invented.

Blood types follow published shares: DEA 1 positive in about 60 % of dogs (Carli 2017: 62 %); of cats most are A,
some B, few AB (Proverbio 2020: 91 / 5 / 4 %). Phone numbers come from 01632 960, a range kept free for fiction.
"""

from dataclasses import dataclass

POSITIVE, NEGATIVE = "DEA 1 positive", "DEA 1 negative"


@dataclass(frozen=True)
class Animal:
    """`age_days` is the age when the story ends, `weight_g` what the animal usually weighs."""

    name: str
    breed: str
    sex: str
    age_days: int
    weight_g: int
    blood_type: str
    owner: str
    cautions: str = ""
    species: str = "dog"


def cat(
    name: str,
    breed: str,
    sex: str,
    age_days: int,
    weight_g: int,
    blood_type: str,
    owner: str,
    cautions: str = "",
) -> Animal:
    return Animal(name, breed, sex, age_days, weight_g, blood_type, owner, cautions, "cat")


# They last gave long ago, so they may give on the last day of the story.
DOGS_OF_THE_LAST_DAY = (
    Animal("Bramble", "Labrador cross", "female", 1610, 31_200, NEGATIVE, "Tansy Marrowby"),
    Animal("Admiral", "Greyhound", "male", 1875, 33_400, NEGATIVE, "Piers Tidewell", "Thin skin."),
    Animal("Kelpie", "Flat-coated retriever", "female", 1122, 29_800, POSITIVE, "Orla Fennimoss"),
    Animal("Barnacle", "Boxer cross", "male", 2010, 32_600, POSITIVE, "Tansy Marrowby"),
    Animal("Juniper", "German shepherd", "female", 1433, 34_100, POSITIVE, "Hew Lanternby", "Fears hats."),
    Animal("Doublet", "Golden retriever", "male", 2295, 35_700, NEGATIVE, "Ines Quillfeather"),
    Animal("Sorrel", "Setter", "female", 1750, 28_300, POSITIVE, "Corin Weatherlow"),
)
DOGS = (
    Animal("Otter", "Newfoundland", "male", 1340, 58_500, POSITIVE, "Maud Saltergate"),
    Animal("Pumice", "Weimaraner", "female", 1998, 30_400, POSITIVE, "Edda Thornquay"),
    Animal("Ferry", "Collie cross", "male", 2480, 27_100, NEGATIVE, "Bram Oxlip"),
    Animal("Tansy", "Labrador", "female", 1570, 30_900, POSITIVE, "Wilf Candlemere"),
    Animal("Magnus", "Rottweiler", "male", 1820, 44_600, POSITIVE, "Sunniva Drake-Holloway"),
    Animal("Halyard", "Greyhound", "female", 2105, 28_700, NEGATIVE, "Piers Tidewell"),
    Animal("Crumpet", "Basset cross", "male", 1690, 27_800, POSITIVE, "Lettice Brackenrow", "Snores."),
    Animal("Sable", "Dobermann cross", "female", 1260, 31_500, POSITIVE, "Noll Harbottle-Reeve"),
    Animal("Rigger", "Ridgeback", "male", 1915, 41_200, POSITIVE, "Edda Thornquay"),
    Animal("Fathom", "Labrador", "male", 2230, 34_800, NEGATIVE, "Garnet Plumstow"),
    Animal("Linnet", "Standard poodle", "female", 1385, 26_900, POSITIVE, "Odo Fairwater"),
    Animal("Cinder", "Lurcher", "female", 1480, 27_600, NEGATIVE, "Hester Millrace"),
    Animal("Boatswain", "Mastiff cross", "male", 1555, 52_300, POSITIVE, "Maud Saltergate", "Lift in pairs."),
    Animal("Nutmeg", "Vizsla", "female", 2040, 27_200, POSITIVE, "Ruan Applegarth-Ley"),
    Animal("Tobermore", "Bernese cross", "male", 1230, 43_900, NEGATIVE, "Isolde Penny-Farrow"),
    Animal("Wicket", "Airedale", "male", 1785, 29_100, POSITIVE, "Bram Oxlip"),
    Animal("Damson", "Labrador cross", "female", 2350, 31_000, POSITIVE, "Wilf Candlemere"),
    Animal("Quarto", "Pointer", "male", 1660, 30_700, NEGATIVE, "Lettice Brackenrow"),
    Animal("Skerry", "Husky cross", "female", 1410, 28_800, POSITIVE, "Garnet Plumstow", "Sings."),
    Animal("Bosun", "Leonberger", "male", 1505, 55_400, NEGATIVE, "Sunniva Drake-Holloway"),
)
CATS_OF_THE_LAST_DAY = (
    cat("Pewter", "Domestic short-hair", "male", 1590, 5_900, "A", "Orla Fennimoss"),
    cat("Marmalade", "Domestic short-hair", "male", 2120, 6_300, "A", "Hew Lanternby"),
)
CATS = (
    cat("Smudge", "Domestic short-hair", "female", 1330, 4_900, "A", "Ines Quillfeather"),
    cat("Tollhouse", "British short-hair", "male", 1880, 6_100, "B", "Corin Weatherlow"),
    cat("Vesper", "Domestic long-hair", "female", 1515, 5_200, "A", "Noll Harbottle-Reeve"),
    cat("Mackerel", "Domestic short-hair", "male", 2260, 5_700, "A", "Odo Fairwater", "Left front leg only."),
    cat("Duchess", "British short-hair", "female", 1745, 5_400, "B", "Hester Millrace"),
    cat("Bobbin", "Domestic short-hair", "male", 1290, 5_600, "A", "Ruan Applegarth-Ley"),
    cat("Solstice", "Ragdoll cross", "female", 1960, 6_000, "AB", "Isolde Penny-Farrow"),
    cat("Captain", "Maine coon", "male", 1620, 7_400, "A", "Maud Saltergate"),
    cat("Clover", "Domestic short-hair", "female", 2075, 4_800, "A", "Edda Thornquay"),
)
DOG_WITH_LOW_PCV = Animal("Pickle", "Spaniel cross", "female", 1440, 27_400, POSITIVE, "Garnet Plumstow")
CAT_TOO_LIGHT = cat("Thimble", "Domestic short-hair", "female", 1210, 3_800, "A", "Odo Fairwater", "Bites.")

EVERYONE = (
    *DOGS_OF_THE_LAST_DAY,
    *DOGS,
    DOG_WITH_LOW_PCV,
    *CATS_OF_THE_LAST_DAY,
    *CATS,
    CAT_TOO_LIGHT,
)


def phone_of(owner: str) -> str:
    owners = sorted({animal.owner for animal in EVERYONE})
    return f"01632 960{101 + owners.index(owner)}"


def email_of(owner: str) -> str:
    return f"{owner.lower().replace(' ', '.')}@example.org"
