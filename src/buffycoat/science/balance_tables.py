"""Tables of heaps of bags, each heap a whole number, with what it costs; for the search behind `balance`."""

from collections.abc import Sequence
from typing import Any, Final, NamedTuple

import numpy as np
import numpy.typing as npt

from buffycoat.science.balance_groups import NO_WAY

# Sorting is quicker for a short table, slots for a long one.
_SHORT: Final = 4_000
# A row and what it costs as one number; 24 bags of 20 kg and milligrams of filler leave room for both.
_ROW_BITS: Final = 24
_SLOT_BITS: Final = 60
_ANY_ODD: Final = 0x9E3779B97F4A7C1
# So many numbers stay near the processor.
BLOCK: Final = 1 << 15

Whole = npt.NDArray[np.int64]


class Table(NamedTuple):
    """Different heaps, what each costs at the least, and how many bags are in it."""

    heap: Whole
    cost: Whole
    bags: Whole

    def only(self, rows: npt.NDArray[Any]) -> "Table":
        """Some of the rows."""
        return Table(self.heap[rows], self.cost[rows], self.bags[rows])

    def thinned(self, most: int) -> "Table":
        """One row of several, so that there are not more than so many."""
        return self.only(np.arange(0, len(self.heap), 1 + len(self.heap) // most))

    def parted(self, by: Whole) -> list["Table"]:
        """The rows of each kind, cheapest first; `by` names the kind of each row."""
        order = np.argsort(self.cost, kind="stable")
        table, kinds = self.only(order), by[order]
        return [table.only(kinds == kind) for kind in np.unique(by)]


NOTHING: Final = Table(*np.zeros((3, 1), np.int64))
EMPTY: Final = NOTHING.only(np.arange(0))


def spread(low: Whole, high: Whole) -> tuple[Whole, Whole]:
    """List every row with each column from its low to before its high.

    Arguments: low and high, one for each row; none low above its high.
    Source: own method, checked by hand.

    >>> [each.tolist() for each in spread(np.array([0, 5, 2]), np.array([2, 5, 3]))]
    [[0, 0, 2], [0, 1, 2]]
    """
    ways = high - low
    rows = np.repeat(np.arange(len(ways)), ways)
    return rows, np.arange(len(rows)) - (np.cumsum(ways) - ways - low)[rows]


def ways(ones: Table, others: Table, within: int) -> int:
    """Count the pairs of rows that cost less than `within` together; both tables cheapest first.

    Source: own method, checked by hand.

    >>> ways(Table(*np.array([[1, 2], [0, 65], [1, 1]])), Table(*np.array([[3, 6], [2, 9], [1, 1]])), 68)
    3
    """
    return int(np.searchsorted(others.cost, within - ones.cost).sum())


def stacked(tables: Sequence[Table]) -> Table:
    """Make one table of several, row after row.

    Arguments: tables, one at least.

    >>> [column.tolist() for column in stacked([NOTHING, NOTHING])]
    [[0, 0], [0, 0], [0, 0]]
    """
    return Table(*(np.concatenate(column) for column in zip(*tables, strict=True)))


def fewer(ones: Table, others: Table, within: int, most: int) -> int:
    """Give the cost that is allowed, or a lower one if that would be many more ways than `most`.

    Source: own method; a sample of both tables says how much lower.

    >>> table = Table(*np.array([range(10)] * 3))
    >>> fewer(table, table, 9, 45), fewer(table, table, 9, 10)
    (9, 5)
    """
    if ways(ones, others, within) <= most:
        return within
    some = np.sort((ones.thinned(50).cost[:, None] + others.thinned(50).cost).ravel())
    return min(within, 1 + int(some[int(len(some) * most / len(ones.heap) / len(others.heap))]))


def beside(ones: Table, others: Table, within: int, everything: int, guards: Whole, alike: bool) -> Table:
    """List every heap of one beside every one of the other for less than `within` if the bags are there.

    Of like pairs the one that holds the heaviest bag is put last, so that not all orders are listed.
    Arguments: tables, cheapest first; everything, the heap of all bags; guards, the bits that stay nought, lowest
    first; alike, whether what `others` fills is like all that `ones` fills.
    Source: own method, checked against trying all.

    >>> ones, others = Table(*np.array([[1, 4], [0, 2], [1, 1]])), Table(*np.array([[4, 1], [0, 9], [1, 1]]))
    >>> [beside(ones, others, within, 5, np.array([2, 8]), False).heap.tolist() for within in (1, 12)]
    [[5], [5, 5]]
    >>> beside(ones, others, 12, 5, np.array([2, 8]), True).cost.tolist()
    [0]
    """
    kind, last = ones.heap, guards[np.searchsorted(guards, others.heap)]
    if turned := len(others.heap) > len(ones.heap):
        ones, others, kind, last = others, ones, last, kind
    guard = guards.sum()
    space, pieces, column = everything + guard - ones.heap, [EMPTY], 0
    while column < len(others.heap):
        rows = int(np.searchsorted(ones.cost, within - others.cost[column]))
        if not rows:
            break
        some = slice(column, column := column + 1 + BLOCK // rows)
        fits = (space[:rows] - others.heap[some, None]) & guard == guard
        if alike:
            fits &= (kind[:rows] < last[some, None]) ^ turned
        far, near = np.divmod(np.flatnonzero(fits), rows)
        pieces.append(Table(*(one[near] + other[some][far] for one, other in zip(ones, others, strict=True))))
    return stacked(pieces)


def low(table: Table, count: int) -> Whole:
    """Give the least that each number of bags costs, up to `count` bags.

    Source: own method, checked by hand.

    >>> low(Table(*np.array([[1, 2, 3], [7, 5, 0], [1, 1, 2]])), 2).tolist() == [NO_WAY, 5, 0]
    True
    """
    least_cost = np.full(count + 1, NO_WAY)
    np.minimum.at(least_cost, table.bags, table.cost)
    return least_cost


def low_together(lows: Sequence[Whole], count: int) -> Whole:
    """Give the least that each number of bags costs in several pairs.

    Source: own method, checked by hand: none in both, one in either, one in each.

    >>> low_together([np.array([7, 1, NO_WAY])] * 2, 2).tolist()
    [14, 8, 2]
    """
    total, bags = np.full(2 * count + 1, NO_WAY), np.arange(count + 1)
    total[0] = 0
    for each in lows:
        # Below nought the numbers go round to where there is no way.
        total[: count + 1] = np.minimum((total[bags[:, None] - bags] + each).min(axis=1), NO_WAY)
    return total[: count + 1]


def least(tables: Sequence[Table]) -> Table:
    """Make one table of several, of each heap the cheapest way.

    Arguments: tables, one at least; they need not be in order.
    Source: own method, checked by hand.

    >>> [column.tolist() for column in least([Table(*np.array([[4, 3, 4], [65, 0, 2], [1, 2, 1]]))])]
    [[3, 4], [0, 2], [2, 1]]
    """
    table, done = stacked(tables), []
    while len(table.heap) > _SHORT:
        # In each slot the cheapest row stays, and a heap that only shares its slot is looked at again.
        slot = _slots(table.heap, bits := len(table.heap).bit_length() + 1)
        best = np.full(1 << bits, NO_WAY << 2)
        np.minimum.at(best, slot, table.cost << _ROW_BITS | np.arange(len(slot)))
        row = (1 << _ROW_BITS) - 1
        done.append(table.only(best[best < NO_WAY << 2] & row))
        table = table.only(table.heap != table.heap[best[slot] & row])
    table = table.only(np.lexsort((table.cost, table.heap)))
    return stacked([*done, table.only(np.flatnonzero(np.diff(table.heap, prepend=-1)))])


def match(ones: Table, others: Table, heap: int) -> tuple[int, int]:
    """Find the cheapest two that make up a heap: the row of the first, and what both cost, or `NO_WAY`.

    Arguments: ones and others, in any order, the others each heap once; heap, a whole number as in both.
    Source: own method, checked by hand.

    >>> ones, others = Table(*np.array([[1, 2], [0, 65], [1, 1]])), Table(*np.array([[3, 6], [9, 2], [1, 1]]))
    >>> match(ones, others, 5), match(ones, others, 7), match(ones, others, 6) == (0, NO_WAY)
    ((1, 74), (0, 2), True)
    """
    place, least_cost = 0, NO_WAY
    while len(ones.heap) and len(others.heap):
        slot = _slots(others.heap, bits := len(others.heap).bit_length() + 1)
        held, rows = np.zeros(1 << bits, np.int64), np.arange(len(slot))
        held[slot] = rows
        at = held[_slots(heap - ones.heap, bits)]
        cost = np.where(others.heap[at] == heap - ones.heap, ones.cost + others.cost[at], NO_WAY)
        if cost.min() < least_cost:
            place, least_cost = int(cost.argmin()), int(cost.min())
        others = others.only(held[slot] != rows)
    return place, least_cost


def _slots(heap: Whole, bits: int) -> Whole:
    slots: Whole = (heap * _ANY_ODD & (1 << _SLOT_BITS) - 1) >> _SLOT_BITS - bits
    return slots
