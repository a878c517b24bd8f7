"""Tables of heaps of bags, each heap a whole number, with what it costs; for the search behind `balance`."""

from collections.abc import Sequence
from typing import Any, Final, NamedTuple

import numpy as np
import numpy.typing as npt

from buffycoat.science.balance_groups import NO_WAY

Whole = npt.NDArray[np.int64]


class Table(NamedTuple):
    """Different heaps in rising order, what each costs at the least, and how many bags are in it."""

    heap: Whole
    cost: Whole
    bags: Whole

    def only(self, rows: npt.NDArray[Any]) -> "Table":
        """Some of the rows."""
        return Table(self.heap[rows], self.cost[rows], self.bags[rows])

    def thinned(self, most: int) -> "Table":
        """One row of several, so that there are not more than so many."""
        return self.only(np.arange(0, len(self.heap), 1 + len(self.heap) // most))

    def by_bags(self) -> list["Table"]:
        """The rows of each number of bags, cheapest first."""
        table = self.only(np.argsort(self.cost, kind="stable"))
        return [table.only(table.bags == bags) for bags in np.unique(self.bags)]


NOTHING: Final = Table(*np.zeros((3, 1), np.int64))


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


def least(tables: Sequence[Table]) -> Table:
    """Make one table of several, of each heap the cheapest way.

    Arguments: tables, one at least; they need not be in order.
    Source: own method, checked by hand.

    >>> [column.tolist() for column in least([Table(*np.array([[4, 3, 4], [65, 0, 2], [1, 2, 1]]))])]
    [[3, 4], [0, 2], [2, 1]]
    """
    table = Table(*(np.concatenate(column) for column in zip(*tables, strict=True)))
    table = table.only(np.lexsort((table.cost, table.heap)))
    return table.only(np.flatnonzero(np.diff(table.heap, prepend=-1)))


def match(ones: Table, others: Table, heap: int) -> tuple[int, int]:
    """Find the cheapest two that make up a heap: the row of the first, and what both cost, or `NO_WAY`.

    Arguments: ones, in any order; others, in rising order of their heaps; heap, a whole number as in both.
    Source: own method, checked by hand.

    >>> ones, others = Table(*np.array([[1, 2], [0, 65], [1, 1]])), Table(*np.array([[3, 6], [9, 2], [1, 1]]))
    >>> match(ones, others, 5), match(ones, others, 7), match(ones, others, 6) == (0, NO_WAY)
    ((1, 74), (0, 2), True)
    """
    if not len(ones.heap) or not len(others.heap):
        return 0, NO_WAY
    at = np.minimum(np.searchsorted(others.heap, heap - ones.heap), len(others.heap) - 1)
    cost = np.where(others.heap[at] == heap - ones.heap, ones.cost + others.cost[at], NO_WAY)
    return int(cost.argmin()), int(cost.min())
