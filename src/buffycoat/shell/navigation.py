"""Where the top bar leads."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Door:
    word: str
    path: str

    def leads_to(self, path: str) -> bool:
        return path == self.path or (self.path != "/" and path.startswith(self.path))


MAIN = (
    Door("Today", "/"),
    Door("Donors", "/donors/"),
    Door("Draws", "/draws/"),
    Door("Spins", "/spins/"),
    Door("Separation", "/separation/"),
    Door("Stock", "/stock/"),
    Door("Journal", "/journal/"),
)
MORE = (
    Door("Patients", "/patients/"),
    Door("Requests", "/requests/"),
    Door("Find blood", "/match/"),
    Door("Reaction", "/reaction/"),
    Door("Bag sets", "/bag-sets/"),
    Door("Rotors", "/rotors/"),
    Door("Places", "/places/"),
    Door("Equipment", "/equipment/"),
    Door("Temperatures", "/temperatures/"),
    Door("Labels", "/labels/"),
    Door("Problems", "/problems/"),
    Door("Printing", "/printing/"),
    Door("Calculator", "/calculator/"),
    Door("Benches", "/bench/"),
    Door("Limits", "/limits/"),
    Door("People", "/people/"),
    Door("Training", "/training/"),
    Door("Paper sheets", "/paper-sheets/"),
    Door("Lists", "/lists/"),
    Door("Backups", "/backups/"),
)
HELP = Door("Help", "/help/")
SIGN_OUT = "/sign-out/"
SCAN = "/scan/"
YOU_WERE_HERE = "/you-were-here/"
