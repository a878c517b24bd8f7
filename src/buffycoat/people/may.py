"""Who may do what: one line for each address of the program, and nothing may be opened that has no line here.

    b bench   c coordinator   v veterinarian   q quality   o office   a auditor
    * whoever, signed in or not   - the page takes nothing sent to it

The first word says who may open the page, the second who may send it. A PIN is short: what ends in `password` is
sent only by who signed in with one. What ends in `unasked` is opened by pages themselves, and so keeps nobody signed
in. Whoever has several roles may do what any of them may. With no role: nothing.
"""

from dataclasses import dataclass

ROLES = {
    "b": "bench",
    "c": "coordinator",
    "v": "veterinarian",
    "q": "quality",
    "o": "office",
    "a": "auditor",
}
EVERY_ROLE = "bcvqoa"
WHOEVER = "*"

TABLE = """
sign-in             *       *
sign-in-badge       *       *
sign-in-second      *       *
sign-in-again       *       *
still-here          *       *          unasked
sign-out            -       *
look                -       *
bench-reading       -       *          unasked, known by its key
bench-size          *       -

today               bcvqoa  -
scan                bcvqoa  -
help                bcvqoa  -
you-were-here       bcvqoa  -          unasked
me                  bcvqoa  bcvqoa
my-password         bcvqoa  bcvqoa     password
my-sign-ins         bcvqoa  bcvqoa
my-pin              bcvqoa  bcvqoa     password
my-second-factor    bcvqoa  bcvqoa     password
people              bcvqoa  c          password
person              c       c          password
person-badge        c       -
training            bcvqoa  -
training-sign       bcvq    bcvq

donors              bcvqoa  -
donor               bcvqoa  -
donor-new           bcvo    bcvo
donor-examine       bcv     bcv
donor-type          bcv     bcv
donor-owner         bcvo    bcvo
donor-photo         bcvo    bcvo
donor-photo-file    bcvqoa  -
donor-questions     bcvo    bcvo
donor-consent       bcvo    bcvo
donor-withdraw      bcvo    bcvo
donor-chip          bcvo    bcvo
donor-call          bcvo    bcvo
donor-vaccine       bcv     bcv
donor-medicine      bcv     bcv
donor-journey       bcvo    bcvo
donor-test          bcvq    bcvq
donor-clear         cvq     cvq
donor-defer         bcvq    bcvq
donor-lift          cvq     cvq
donor-sedation      bcv     bcv
donor-reaction      bcv     bcv
donor-retire        bcv     bcv
donor-waive         bcv     bcv
donor-calendar      bcvqoa  -
donor-calls         bcvo    -
donor-panel         bcvqoa  bcvq
donor-results       bcvq    bcvq
donor-visits        *       -          known by its key
donor-thanks        cvo     -
donor-card          bcvqo   -
donor-cards         bcvqo   -

draws               bcvqoa  -
draw-new            bcv     bcv
draw-target         bcvqoa  -
draw-finish         bcv     bcv
draw-discard        bcvq    bcvq
draw-stickers       bcv     -
equipment           bcvqoa  -
equipment-new       cvq     cvq
equipment-piece     bcvqoa  -
equipment-check     bcvq    bcvq
equipment-use       bcvq    bcvq
equipment-card      bcvqo   -
equipment-cards     bcvqo   -
bag-sets            bcvqoa  -
bag-set             bcvqoa  -
bag-set-new         bcvo    bcvo
bag-set-hold        bcvq    bcvq
bag-set-units       bcvqoa  -
bag-set-card        bcvqo   -
bag-set-cards       bcvqo   -

spins               bcvqoa  -
spin                bcvqoa  -
spin-new            bcv     bcv
spin-finish         bcv     bcv
spin-sheet          bcvqoa  -
rotors              bcvqoa  -
rotor               bcvqoa  cq
rotor-new           cq      cq
rotor-card          bcvqo   -
rotor-cards         bcvqo   -

separations             bcvqoa  -
separation-express      bcv     bcv
separation-keep-whole   bcv     bcv
separation-additive     bcv     bcv
separation-clots        bcv     bcv
separation-segments     bcv     bcv
separation-weigh        bcv     bcv

labels              bcvqoa  -
label-print         bcv     bcv
label-pdf           bcv     -
label-picture       bcv     -
label-scan-back     bcv     bcv

put-away            bcv     bcv
stock               bcvqoa  -
stock-at            bcvqoa  -
unit                bcvqoa  -
unit-discard        bcvq    bcvq
unit-take-out       bcv     bcv
unit-change         bcv     -
unit-thaw           bcv     bcv
unit-open           bcv     bcv
unit-irradiate      bcv     bcv
unit-freeze         bcv     bcv
unit-divide         bcv     bcv
unit-cryo           bcv     bcv
part-weigh          bcv     bcv
places              bcvqoa  -
place               bcvqoa  -
stock-lost          bcvqoa  -
place-count         bcvq    bcvq
place-new           cq      cq
place-card          bcvqo   -
place-cards         bcvqo   -

temperatures            bcvqoa  -
temperature-find        bcvq    bcvq
temperature-read        bcvq    bcvq
temperature-trace       bcvqoa  -
thermometer             bcvqoa  cq
thermometer-new         cq      cq
thermometer-key         -       cq         password
thermometer-file        bcvq    bcvq
thermometer-readings    -       *          known by its key
alarm                   bcvqoa  bcvq
alarm-judge             bcvqa   bcvq

donation            bcvqoa  -
next-step           bcvqoa  -
story               bcvqoa  -
journal             bcvqoa  -
journal-check       -       bcvqoa
journal-strike      cvq     cvq        password
undo                bcvq    bcvq
void                cvq     cvq        password

limits              bcvqoa  -
limit               bcvqoa  cq         password
calculators         bcvqoa  -
calculator          bcvqoa  -
command-cards       bcvqo   -
bench               bcvqoa  c          password
bench-new           -       c          password
bench-here          -       c          password
bench-key           -       c          password
bench-test-card     bcvqo   -
bench-heard         bcvqoa  -          unasked
bench-scale         bcvqoa  -          unasked
bench-lay           -       bcv

patients            bcvqoa  -
patient             bcvqoa  -
patient-new         bcv     bcv
patient-type        bcv     bcv
patient-weigh       bcv     bcv
patient-history     bcv     bcv
patient-antibody    bcv     bcv
patient-band        bcvqo   -
match               bcvqoa  -
requests            bcvqoa  -
request             bcvqoa  -
request-new         bcv     bcv
request-close       bcv     bcv
request-crossmatch  bcv     bcv
request-issue       bcv     bcv
unit-issued         bcvqoa  -
unit-slip           bcvqo   -
unit-return         bcv     bcv
reaction            bcvqoa  -
compatibility       bcvqoa  -
problem             bcvqo   bcvqo
problems            bcvqoa  -
problem-settle      bcvqa   bcvq
printing            bcvqo   -
printing-test       -       bcvq
printing-send       -       bcvqo
printing-again      -       bcvqo
printing-cancel     -       bcvqo

paper-sheets        bcv     bcv
blank-sheets        bcv     -
morning-pack        bcvq    -
catch-up            bcv     bcv
lists               cqoa    c          password
list                c       c          password
list-rows           c       c          password
list-refused        c       -
list-close          -       c          password
list-out            cqoa    -
backups             cqa     -
daily-sheet         cqa     -
"""

READS = {"GET", "HEAD", "OPTIONS"}


@dataclass(frozen=True, kw_only=True)
class Line:
    """Letters of the roles that may open the page, and that may send it; `-` where it has no such method."""

    opened_by: str
    sent_by: str
    password: bool
    unasked: bool

    def by(self, method: str) -> str:
        if method in READS:
            return self.opened_by
        return self.sent_by if method == "POST" else "-"


def _line(opened_by: str, sent_by: str, *words: str) -> Line:
    said = {word.rstrip(",") for word in words}
    return Line(opened_by=opened_by, sent_by=sent_by, password="password" in said, unasked="unasked" in said)


MAY = {name: _line(*rest) for name, *rest in (line.split() for line in TABLE.strip().splitlines() if line)}


def roles_for(name: str, method: str) -> list[str]:
    """The words of the roles that may do it.

    >>> roles_for("limit", "POST"), roles_for("no-such-page", "GET")
    (['coordinator', 'quality'], [])
    """
    letters = MAY[name].by(method) if name in MAY else ""
    return [word for letter, word in ROLES.items() if letter == WHOEVER or letter in letters]


def may(roles: set[str], name: str, method: str = "GET") -> bool:
    """
    >>> may({"auditor"}, "journal"), may({"auditor"}, "draw-new"), may(set(), "journal")
    (True, False, False)
    """
    open_to_all = name in MAY and MAY[name].by(method) == WHOEVER
    return open_to_all or not roles.isdisjoint(roles_for(name, method))
