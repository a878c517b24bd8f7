"""Two to eight benches act on one bag at the same moment, again and again: one is first, the others are told.

python -m tests.simulation.races --rounds 10000 --seed 7
python -m tests.simulation.races --rounds 10000 --seed 7 --database postgresql
python -m tests.simulation.races --rounds 60 --seed 7 --without lock    (or seen: the controls, which must be noticed)

Each bench is a process with a connection of its own. All hold the same page of the bag, wait at one barrier and
send what they did: another weight, another place. Then all write as fast as they can, to see that no number is lost.
"""

import argparse
import json
import multiprocessing
import random
import re
import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from tests.simulation.own_bank import own_bank

PEOPLE = ("robin", "kim", "alex", "sam", "noor", "jo", "max", "lou")
WON = "recorded"
TOLD = r"^(\w+) was faster, (?:\d+ s|\d+ min) ago: [a-z ]+\. Look at the page again before you go on\.$"
MOVES = 6  # of each unit, from one fridge to another and back
WRITES = 25  # of each bench, when all write at once
SECONDS_TO_START = 120
AN_HOUR = timedelta(hours=1)  # so long ago was a bag drawn that is raced for now


# ---- the benches: processes of their own ----


def bench(who: str, orders: Any, barriers: dict[int, Any], without: str) -> None:
    """Waits for orders: (command, seen, how many race), or a number of places to open, or None to go home."""
    import django

    django.setup()
    _weaken(without)
    orders.send("here")
    while (order := orders.recv()) is not None:
        command, seen, racing = order
        barriers[racing].wait()
        orders.send([_sent(each, who, seen) for each in command])


def _sent(command: Any, who: str, seen: dict[str, int]) -> str:
    from buffycoat.journal.facts import Refused
    from buffycoat.journal.record import record

    try:
        record(command, by=who, seen=seen)
    except Refused as refused:
        return "\n".join(refused.reasons)
    except Exception as error:
        return f"{type(error).__name__}: {error}"
    return WON


def _weaken(without: str) -> None:
    """The controls: a `record` that does not lock, or does not look at what the page was drawn from."""
    from django.db import connection

    from buffycoat.journal import record
    from buffycoat.journal.models import Head

    if without == "lock":
        record.lock_head = lambda: Head.objects.get(id=1)
        if connection.vendor == "sqlite":
            connection.ensure_connection()
            connection.transaction_mode = "DEFERRED"
    if without == "seen":
        record._refuse_if_overtaken = lambda *_: None


@dataclass
class Benches:
    pipes: dict[str, Any]

    def all_at_once(self, orders: dict[str, list[Any]], seen: dict[str, int]) -> dict[str, list[str]]:
        for who, commands in orders.items():
            self.pipes[who].send((commands, seen, len(orders)))
        return {who: self.pipes[who].recv() for who in orders}


def open_benches(without: str) -> tuple[Benches, list[Any]]:
    from django.db import connection

    connection.close()  # each bench has one of its own
    context = multiprocessing.get_context(
        "fork" if "fork" in multiprocessing.get_all_start_methods() else "spawn"
    )
    barriers = {size: context.Barrier(size) for size in range(1, len(PEOPLE) + 1)}
    pipes, processes = {}, []
    for who in PEOPLE:
        pipes[who], theirs = context.Pipe()
        processes.append(context.Process(target=bench, args=(who, theirs, barriers, without), daemon=True))
        processes[-1].start()
    for who, pipe in pipes.items():
        assert pipe.poll(SECONDS_TO_START), f"{who}'s bench did not open"
        pipe.recv()
    return Benches(pipes), processes


# ---- what they race for ----


def steps(rng: random.Random, walk: Any) -> Iterator[tuple[str, list[Any]]]:
    """Of bag after bag, what can be done next: its stream, and a command for each bench."""
    from buffycoat.labels.rules import PrintLabel, ScanLabelBack
    from buffycoat.separation.contents import predict
    from buffycoat.separation.rules import (
        AddAdditive,
        ExpressPlasma,
        LookForClots,
        SealSegments,
        Separation,
    )
    from buffycoat.separation.weighings import WeighProduct, empty_g, expected_g
    from buffycoat.site.rules import limits
    from buffycoat.storage.places import OpenPlace, PlaceOpened
    from buffycoat.storage.rules import DiscardUnit, PutAway

    places = {}
    for appliance in ("fridge", "freezer"):
        opened = [walk.do(OpenPlace(name=f"{appliance} {n}", appliance=appliance)) for n in (1, 2, 3)]
        places[appliance] = [each.the(PlaceOpened).place for each in opened]

    def bench_weights(usual_g: int) -> list[int]:
        return [usual_g + place % 3 for place in range(len(PEOPLE))]

    while True:
        species, walk.at = rng.choice(("dog", "cat")), datetime.now(UTC) - AN_HOUR
        donation = walk.spun(species)
        stream = f"donation/{donation}"
        planned_g = predict(walk.look(Separation, donation).draw, limits(walk.look)).express_g
        yield stream, [ExpressPlasma(donation=donation, plasma_g=each) for each in bench_weights(planned_g)]
        state = walk.look(Separation, donation)
        if state.additive_due:
            in_set_ml = state.draw.started.bag_set.additive_ml
            yield stream, [AddAdditive(donation=donation, additive_ml=in_set_ml)] * len(PEOPLE)
        yield stream, [LookForClots(donation=donation, clots=False)] * len(PEOPLE)
        yield stream, [SealSegments(donation=donation, segments=3 + each % 3) for each in range(len(PEOPLE))]
        state = walk.look(Separation, donation)
        for part in state.parts:
            gross_g = expected_g(state, part, limits(walk.look)) + empty_g(state, part)
            yield (
                stream,
                [WeighProduct(donation=donation, part=part, gross_g=g) for g in bench_weights(gross_g)],
            )
        for part in state.parts:
            yield stream, [PrintLabel(donation=donation, part=part)] * len(PEOPLE)
            unit = walk.units(donation)[part]
            yield stream, [ScanLabelBack(donation=donation, unit=unit)] * len(PEOPLE)
        for part, unit in walk.units(donation).items():
            doors = places["freezer" if part == "plasma" else "fridge"]
            for move in range(MOVES):
                free = [door for door in doors if move == 0 or door != _place_of(unit)]
                yield (
                    stream,
                    [
                        PutAway(unit=unit, place=free[each % len(free)], looks_well=True)
                        for each in range(len(PEOPLE))
                    ],
                )
            yield stream, [DiscardUnit(unit=unit, reason=f"Seen by {who}") for who in PEOPLE]


def _place_of(unit: str) -> str:
    from buffycoat.storage.models import ShelfRow

    return str(ShelfRow.objects.get(unit=unit).place_id)


# ---- the rounds ----


def race(rng: random.Random, benches: Benches, stream: str, commands: list[Any]) -> Iterator[str]:
    """One round; what was wrong with it."""
    from buffycoat.journal.book import version_of
    from buffycoat.journal.models import Entry, Head

    racing = rng.sample(PEOPLE, rng.randint(2, len(PEOPLE)))
    before, seen = Head.objects.get(id=1).number, {stream: version_of(stream)}
    said = benches.all_at_once({who: [commands[PEOPLE.index(who)]] for who in racing}, seen)
    winners = [who for who, (words,) in said.items() if words == WON]
    if len(winners) != 1:
        yield f"{len(winners)} winners"
    written = set(Entry.objects.filter(number__gt=before).values_list("by", "command_id"))
    if len(written) != 1 or {by for by, _ in written} != set(winners):
        yield "not one entry, by the winner"
    for who, (words,) in said.items():
        told = re.fullmatch(TOLD, words)
        if who not in winners and not (told and [told[1]] == winners):
            yield f"a loser not told who and when: {words.partition(chr(10))[0][:60]}"


def write_all_at_once(benches: Benches) -> Iterator[str]:
    """Eight writers of things of their own, every second one of them refused: no number is left out."""
    from buffycoat.journal.models import Entry
    from buffycoat.storage.places import OpenPlace

    orders = {
        who: [
            OpenPlace(name=f"{who} {each}" if each % 2 else "", appliance="fridge")
            for each in range(2 * WRITES)
        ]
        for who in PEOPLE
    }
    said = benches.all_at_once(orders, {})
    won = Counter(words for each in said.values() for words in each)[WON]
    if won != len(PEOPLE) * WRITES:
        yield f"{won} of {len(PEOPLE) * WRITES} written at once were recorded"
    numbers = list(Entry.objects.order_by("number").values_list("number", flat=True))
    if numbers != list(range(1, len(numbers) + 1)):
        yield "a gap in the numbers"


def run(rounds: int, seed: int, without: str) -> tuple[Counter[str], dict[str, Any]]:
    from buffycoat.journal.registers import Differs, rebuild
    from buffycoat.journal.verify import verify
    from tests.pages import near_noon

    rng, wrong = random.Random(seed), Counter[str]()
    benches, processes = open_benches(without)
    bags = set()
    try:
        choices = steps(rng, near_noon(AN_HOUR))
        for _ in range(rounds):
            stream, commands = next(choices)
            bags.add(stream)
            wrong.update(race(rng, benches, stream, commands))
        wrong.update(write_all_at_once(benches))
    finally:
        for pipe in benches.pipes.values():
            pipe.send(None)
        for process in processes:
            process.join(timeout=SECONDS_TO_START)
    verdict = verify()
    if verdict.wrong:
        wrong[verdict.wrong] += 1
    try:
        rebuild(check=True)
    except Differs as differs:
        wrong[str(differs)] += 1
    return wrong, {"bags": len(bags), "entries": verdict.entries}


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--rounds", type=int, default=60)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--database", default="", help="nothing (SQLite), postgresql, or an address")
    parser.add_argument("--without", default="", choices=("", "lock", "seen"), help="the controls")
    asked = parser.parse_args()
    began = time.monotonic()
    with own_bank(asked.database):
        wrong, figures = run(asked.rounds, asked.seed, asked.without)
    for what, times in wrong.most_common():
        print(f"{times:6}  {what}")
    database = "postgresql" if asked.database else "sqlite"
    told = {"rounds": asked.rounds, "seed": asked.seed, "database": database, "wrong": wrong.total()}
    print(json.dumps(told | figures | {"took_s": round(time.monotonic() - began)}))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
