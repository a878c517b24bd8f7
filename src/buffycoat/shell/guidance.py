"""How each step at the bench is done and why: one sentence each, with a drawing, for whoever is new to it.

Keyed by step. What stands here is common practice without a source, unless `source` names one. Numbers that a site
sets are never repeated here: they stand on the page, with where they come from.
"""

from dataclasses import dataclass

COMMON = "Common practice, no source."


@dataclass(frozen=True, kw_only=True)
class Guidance:
    """`title` is the step as a person may be trained in it; empty where there is nothing to be trained in."""

    how: str
    why: str
    drawing: str
    alt: str
    title: str = ""
    source: str = COMMON


GUIDANCE = {
    "donor-examine": Guidance(
        title="Weigh a donor and read the PCV",
        how="Set the scale to nought, let the animal stand still on it, and read the PCV from today's spun tube.",
        why="Both decide how much may be drawn today and how much plasma there will be to press off.",
        drawing="animal-on-scale",
        alt="A dog stands on a scale; beside it a spun tube is read at the top of the red cells.",
    ),
    "donor-type": Guidance(
        title="Read a blood type",
        how="Read the card yourself within the time its maker gives, from the well and not from a note.",
        why="Every label of this donor carries what you read, and a mismatch in a patient cannot be taken back.",
        drawing="test-card",
        alt="A test card with two wells: one is evenly red, in the other the cells have clumped.",
    ),
    "draw-donor": Guidance(
        how="Scan the donor's card, and look that the animal in front of you is the one on the card.",
        why="Weight, type and interval are taken from this donor, and so is the story of each unit.",
        drawing="scan-card",
        alt="A scanner held in front of a donor's card with a bar code.",
    ),
    "draw-lot": Guidance(
        how="Scan the card of the lot that the set in your hand comes from, and compare lot and date on its wrapping.",
        why="Anticoagulant, bag weights and the recall of a bad lot all hang on it.",
        drawing="scan-set",
        alt="A scanner held in front of the label of an empty bag set.",
    ),
    "draw-tare": Guidance(
        title="Weigh the empty set",
        how="Look the set over for leaks and cloudiness, then weigh all of it the way it will lie during the draw, no "
        "tubing over the edge of the pan.",
        why="Blood is what the scale shows later less this number, so each gram that is wrong here is wrong there.",
        drawing="empty-set-on-scale",
        alt="An empty set lies on a scale, all tubing on the pan.",
        source="Each pack is weighed for itself: handbooks give 60 to 90 g for one, a teaching video and a regulator's "
        "guide.",
    ),
    "draw-volume": Guidance(
        how="Ask for what the set is made for, or less if the donor can give less, and look at the mass to stop at.",
        why="The anticoagulant in the bag is measured for that volume: too little blood is harmed by it, too much "
        "clots.",
        drawing="fill-line",
        alt="A bag that fills up to a dashed line.",
        source="Underfilled bags showed about twice the free haemoglobin after 35 days (Cober and others, Transfusion "
        "2001).",
    ),
    "draw-stop": Guidance(
        how="Read each reason, do what it names, or let another donor give.",
        why="These limits protect an animal that gives by our choice and not by its own.",
        drawing="animal-on-scale",
        alt="A dog stands on a scale; beside it a spun tube is read at the top of the red cells.",
    ),
    "draw-running": Guidance(
        title="Draw a donor",
        how="Hang the bag below the donor on the scale, rock it gently all the time, and clamp when the mass to stop "
        "at is reached.",
        why="Blood that lies still beside its anticoagulant clots, and one clot costs the whole donation.",
        drawing="hanging-bag",
        alt="A bag hangs from a scale on a frame and is rocked to and fro while it fills.",
        source="Mixing all the time: a teaching video of an animal blood bank and the UK animal blood bank's guide.",
    ),
    "draw-result": Guidance(
        how="Strip the line, mix once more, seal it, and see that each bag of the set has its own sticker.",
        why="From here on only the number tells whose blood it is.",
        drawing="stickers",
        alt="Three bags joined by tubing, each with a sticker.",
        source="Strip, mix, seal: a university's page on collecting blood for transfusion.",
    ),
    "draw-discard": Guidance(
        how="Say why, then put every bag of the set into the waste for blood and sharps.",
        why="A bag that stays on the bench is taken for a good one by the next person.",
        drawing="waste",
        alt="A bag on its way into a bin.",
    ),
    "spin-programme": Guidance(
        how="Read the name on the centrifuge and its rotor, then take the programme that was validated for it.",
        why="The same speed in another rotor is another force: too little leaves cells in the plasma, too much packs "
        "them so hard that they tear.",
        drawing="machine",
        alt="A closed centrifuge that turns, with its panel.",
        source="Force = 1.118 × radius in mm × (rpm / 1000)²: a centrifuge's operating manual.",
    ),
    "spin-weigh": Guidance(
        title="Weigh a bag for the spin",
        how="Fold tubing and empty bags onto the bag, the way they will stand in the bucket, and weigh all together.",
        why="Buckets are balanced by mass and never by volume, and what hangs over the edge is not weighed.",
        drawing="folded-on-scale",
        alt="A full bag with its tubing folded on top lies on a scale.",
        source="By mass, not by volume: operating manuals of centrifuges.",
    ),
    "spin-filler": Guidance(
        how="Weigh loose filler in a bag or cup of its own, and lay it into the bucket at that place beside what is "
        "there.",
        why="Only what was weighed makes opposite buckets equal; the eye is wrong by far more than a rotor allows.",
        drawing="opposite-buckets",
        alt="Two buckets hang opposite each other from a rotor, a bag upright in each.",
        source="Opposite cups of equal mass: operating manuals of centrifuges.",
    ),
    "spin-plan": Guidance(
        title="Load and start the centrifuge",
        how="Put each bag upright into the bucket with its number, its filler beside it, and close the lid.",
        why="Opposite buckets that differ shake the machine: the layers blur, and a rotor may break loose.",
        drawing="opposite-buckets",
        alt="Two buckets hang opposite each other from a rotor, a bag upright in each.",
        source="Same mass and number in opposite cups, lid shut until it stands: operating manuals of centrifuges.",
    ),
    "spin-finish": Guidance(
        title="Judge a spun bag",
        how="When the rotor stands still, lift each bag without tilting it and look at its layers against the light.",
        why="A sharp line between plasma and cells is what can be pressed off; a blurred one is spun again, and a wet "
        "bag is no longer closed.",
        drawing="layers-to-light",
        alt="A bag against a lamp: clear plasma above, a pale line, dark cells below.",
    ),
    "separation-express": Guidance(
        title="Press off the plasma",
        how="Set the scale to nought with the empty plasma bag on it, press slowly, and clamp at the mass to stop at, "
        "or at once when red rises into the tubing.",
        why="Plasma with cells in it is no plasma, and what stays on the cells is what the patient gets with them.",
        drawing="pressed",
        alt="A spun bag in a press: clear plasma runs over into a second bag on a scale, down to a dashed line.",
        source="About 20 mL are left on the cells before the additive comes: a European manual of blood use, 2010.",
    ),
    "separation-keep-whole": Guidance(
        how="Seal the bag off from the empty ones, and leave the blood in it as it was drawn.",
        why="Some patients need all of blood, and once it is spun it cannot be put together again.",
        drawing="whole-in-fridge",
        alt="A full bag with its tubing clamped, beside a fridge.",
    ),
    "separation-additive": Guidance(
        title="Run in the additive",
        how="Open the additive bag of this same closed set, let all of it run onto the red cells, and turn the bag "
        "gently.",
        why="It feeds the cells for the longer date, and a set that was opened has lost its date altogether.",
        drawing="running-in",
        alt="Clear additive runs from an upper bag down onto the red cells.",
        source="Without the additive the unit falls back to the anticoagulant's date: Gnanaraj and others, 2023.",
    ),
    "separation-clots": Guidance(
        title="Look for clots",
        how="Turn the bag slowly against the light, ten times, and look for strings, lumps and what hangs at the "
        "ports.",
        why="A clot blocks the filter at the bedside, and where one is seen there are more.",
        drawing="against-light",
        alt="An eye looks through a turning bag at a lamp; a dark lump shows in the bag.",
    ),
    "separation-segments": Guidance(
        title="Seal the segments",
        how="Strip the line, let it fill with mixed blood, seal pieces of a few centimetres, leave them on the unit.",
        why="Each is a sample for crossmatching that was never apart from its bag, so it cannot be another's.",
        drawing="segments",
        alt="The tubing of a bag, filled and sealed into pieces that hang together.",
        source="Segments kept for crossmatching: a university's page on collecting blood; numbers: human practice.",
    ),
    "separation-weigh": Guidance(
        title="Weigh a product",
        how="Lay the sealed bag alone on the scale, its tubing on top, and wait until the number stands still.",
        why="Mass less the empty bag gives the volume on the label, and a number that does not fit shows a mix-up "
        "before the label does.",
        drawing="alone-on-scale",
        alt="One sealed bag lies on a scale, nothing over the edge.",
    ),
    "label-print": Guidance(
        how="Read what the label will say against the bag in your hand, then print this one.",
        why="Two labels on the bench are two chances to stick the right one on the wrong bag.",
        drawing="printer",
        alt="A single label comes out of a printer.",
    ),
    "label-scan-back": Guidance(
        title="Label a unit",
        how="Stick the label on its bag, keep a clear window on the blood, then scan it from the bag and not from the "
        "sheet.",
        why="Only a scan from the bag shows that the right label is on it and can be read.",
        drawing="scan-bag",
        alt="A scanner reads the label on a bag.",
        source="A clear window to see the contents: 21 CFR 606.121(b).",
    ),
    "put-away-find": Guidance(
        how="Take one bag in your hand and scan the label on it.",
        why="What is scanned from a list may be another bag than the one you carry.",
        drawing="scan-bag",
        alt="A scanner reads the label on a bag.",
    ),
    "put-away": Guidance(
        title="Put a unit away",
        how="Look at the unit once more, put it in, shut the door, and scan the card on that door.",
        why="The scan at the door is the last moment at which a wrong shelf or a bad bag costs nothing.",
        drawing="put-away",
        alt="A bag goes through an open door with a card on it onto a shelf.",
    ),
    "unit-take-out": Guidance(
        how="Scan the bag at the open door, shut the door at once, and carry the bag in a box that was kept cold.",
        why="Whether it may come back hangs on how long it was out or how warm it got, and nobody remembers that.",
        drawing="scan-bag",
        alt="A scanner reads the label on a bag.",
        source="A unit reached 10 °C in about 15 min, a small one sooner: Perry 2010.",
    ),
    "place-count": Guidance(
        how="Scan bag by bag from the back to the front, and shut the door between two shelves.",
        why="A unit that is not where the book has it may be warm, given or lost, and nobody would look for it.",
        drawing="scan-bag",
        alt="A scanner reads the label on a bag.",
    ),
    "patient-type": Guidance(
        how="Read the card yourself within the time its maker gives, from the well and not from a note.",
        why="What you read decides what this patient is given, and a mismatch cannot be taken back.",
        drawing="test-card",
        alt="A test card with two wells: one is evenly red, in the other the cells have clumped.",
    ),
    "unit-issue": Guidance(
        how="Scan the band or cage card of the patient first, then the bag that you hand over.",
        why="The wrong bag at the right patient is the error that kills, and no one sees it in a bag.",
        drawing="scan-bag",
        alt="A scanner reads the label on a bag.",
    ),
    "unit-change": Guidance(
        how="Say what is done with the unit when it is done, while the bag is still in your hand.",
        why="Each change shortens its date, and a bag with its old label on says something that is no longer so.",
        drawing="scan-bag",
        alt="A scanner reads the label on a bag.",
    ),
    "unit-thaw": Guidance(
        title="Thaw plasma",
        how="Seal the frozen bag into a second bag, lay both into the bath, move them gently, and take them out when "
        "the last ice is gone.",
        why="Cold plastic is brittle and cracks unseen, and bath water at the ports carries germs into the bag.",
        drawing="water-bath",
        alt="A bag lies in a bath with a thermometer.",
        source="Over-bag, and no microwave oven: animal blood banks in the UK and Canada.",
    ),
    "unit-open": Guidance(
        how="Print its new label at once, keep it in the fridge, and give it before others.",
        why="Whatever got in with the air grows, slowly in the cold and fast outside it.",
        drawing="set-aside",
        alt="A bag is set aside behind a sign.",
        source="24 h after it was opened: 21 CFR 610.53.",
    ),
    "unit-irradiate": Guidance(
        how="Look at the mark on the bag that turns dark, and write the dose that the machine shows.",
        why="Without the mark nobody can tell whether the bag was in the machine or only beside it.",
        drawing="machine",
        alt="A machine with a closed lid.",
        source="28 d, or its own date: 21 CFR 610.53.",
    ),
    "unit-freeze": Guidance(
        how="Fold the bag around a thermometer for a minute, read it, and lay the bag flat into the freezer.",
        why="What got warm has lost the factors that it would be given for.",
        drawing="put-away",
        alt="A bag goes through an open door with a card on it onto a shelf.",
        source="A supplier; the UK Red Book never freezes it again.",
    ),
    "unit-divide": Guidance(
        title="Divide a unit into parts",
        how="Mix the unit, weigh one empty bag, weld the tubes, and let each part run over with its bag on the scale.",
        why="A small animal needs a fraction of a unit, and parts made with closed tubes keep the date of the whole.",
        drawing="parts",
        alt="From one bag tubes lead to two small ones.",
    ),
    "unit-cryo": Guidance(
        title="Make cryoprecipitate",
        how="Thaw it in the fridge until it is slush, spin it hard, and press the clear plasma off the white rest at "
        "once.",
        why="The factors fall out in the cold and go into the plasma again as it warms.",
        drawing="pressed",
        alt="A bag in a press, and clear plasma runs over into a second bag.",
        source="Thawed at 1 to 6 °C, spun and pressed off: JVIM 2019;33:124.",
    ),
    "part-weigh": Guidance(
        how="Weigh the part with its bag and a sealed tube, nothing else on the pan.",
        why="The label says how much is in it, and the parts together cannot be more than the unit was.",
        drawing="alone-on-scale",
        alt="One bag lies alone on a scale.",
    ),
    "unit-discard": Guidance(
        how="Say why, take the unit off the shelf, and put it into the waste by your local rules.",
        why="Its record stays and counts in the year's figures, but a bag on the shelf may still be taken.",
        drawing="waste",
        alt="A bag on its way into a bin.",
    ),
    "temperature-find": Guidance(
        how="Go to the door, and scan the card on it before you read.",
        why="Two fridges side by side look alike on paper, and a reading with the wrong name hides the right one.",
        drawing="put-away",
        alt="A bag goes through an open door with a card on it onto a shelf.",
    ),
    "temperature-read": Guidance(
        title="Read a thermometer by hand",
        how="Read now, least and most before the door is opened, then set least and most back.",
        why="Least and most tell of the night; not set back, an old warm hour is told again every day.",
        drawing="whole-in-fridge",
        alt="A full bag with its tubing clamped, beside a fridge.",
        source="Least and most read and written down twice a day: the UK animal blood bank's guide.",
    ),
    "problem-find": Guidance(
        how="Scan the code on the thing itself, and put the thing aside where nobody takes it.",
        why="What is only remembered at the end of a shift is half forgotten, and the bag may be gone by then.",
        drawing="scan-bag",
        alt="A scanner reads the label on a bag.",
    ),
    "problem": Guidance(
        how="Say what you saw, put the thing aside, and go on with other work.",
        why="A bag that somebody doubts must wait until somebody else has looked at it.",
        drawing="set-aside",
        alt="A bag is put aside, with a warning sign beside it.",
    ),
    "catch-up": Guidance(
        how="Scan the code at the top of the paper sheet, then enter each step with the time that stands on it.",
        why="The book must say when it was done, and beside it when it was entered.",
        drawing="sheet-of-paper",
        alt="A paper sheet with a bar code at its top, lines written below, and a pen.",
    ),
    "undo": Guidance(
        how="Read what is taken back, speak with whoever wrote it, and say why.",
        why="The next person reads the line struck through, and your reason is all that explains it.",
        drawing="struck-line",
        alt="An open book in which one line is struck through.",
    ),
}

TRAINED = {step: guidance.title for step, guidance in GUIDANCE.items() if guidance.title}
