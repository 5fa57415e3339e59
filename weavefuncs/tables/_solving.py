"""The mixed-integer solver: one way to build a program, to give it a time, and to read its gap."""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy import sparse
from scipy.optimize import Bounds, LinearConstraint, milp

# Below this share of the value, value and bound are the same number.
DUST = 1e-9

INFINITY = float("inf")


def silent(text: str) -> None:
    """Show no progress."""
    del text


class Clock:
    """The time that a whole answer may take, shared by the steps that need it."""

    def __init__(self, seconds: float) -> None:
        self._end = time.monotonic() + seconds

    def left(self) -> float:
        """Return the seconds left, never below 0."""
        return max(self._end - time.monotonic(), 0.0)

    def share(self, of: int) -> float:
        """Return an equal share of what is left, for the next of so many steps."""
        return self.left() / max(of, 1)


@dataclass(frozen=True)
class Solved:
    """A solution of a program: the values of its variables, what they cost, and what nothing can beat."""

    values: np.ndarray
    cost: float
    bound: float

    @property
    def proven(self) -> bool:
        """Whether nothing better exists."""
        return relative_gap(self.cost, self.bound) == 0.0


def relative_gap(cost: float, bound: float) -> float:
    """Return how far a cost may lie above the best, as a share of it; 0 where that is only dust."""
    over = cost - bound
    if over <= DUST * max(abs(cost), abs(bound), DUST):
        return 0.0
    return over / abs(cost)


class Program:
    """A mixed-integer program to be minimised, put together variable by variable and row by row."""

    def __init__(self) -> None:
        self._cost: list[float] = []
        self._low: list[float] = []
        self._high: list[float] = []
        self._whole: list[int] = []
        self._rows: list[tuple[Mapping[int, float], float, float]] = []

    def variable(
        self, high: float = INFINITY, low: float = 0.0, whole: bool = False, cost: float = 0.0
    ) -> int:
        """Add a variable and return its number."""
        self._cost.append(cost)
        self._low.append(low)
        self._high.append(high)
        self._whole.append(int(whole))
        return len(self._cost) - 1

    def row(self, terms: Mapping[int, float], low: float = -INFINITY, high: float = INFINITY) -> None:
        """Hold the sum of some variables times their factors between two numbers."""
        if terms:
            self._rows.append((terms, low, high))

    def price(self, costs: Mapping[int, float]) -> None:
        """Replace what is minimised."""
        self._cost = [0.0] * len(self._cost)
        for variable, cost in costs.items():
            self._cost[variable] = cost

    def solve(self, seconds: float, least_step: float = 0.0) -> Solved | None:
        """Solve it; None where the time did not reach for any solution.

        Parameters
        ----------
        seconds : float
            Time that the solver may take.
        least_step : float, default 0
            Costs of two solutions that differ do so by at least this much: the bound is rounded up to it.
        """
        if not self._cost:
            return Solved(np.zeros(0), 0.0, 0.0)
        options: dict[str, float | bool] = {"time_limit": max(seconds, 0.05), "mip_rel_gap": 0.0}
        constraints = []
        if self._rows:
            factors: list[float] = []
            columns: list[int] = []
            starts = [0]
            for terms, _, _ in self._rows:
                columns.extend(terms)
                factors.extend(terms.values())
                starts.append(len(columns))
            matrix = sparse.csr_array((factors, columns, starts), shape=(len(self._rows), len(self._cost)))
            lows, highs = ([row[side] for row in self._rows] for side in (1, 2))
            constraints.append(LinearConstraint(matrix, lows, highs))
        cost = np.array(self._cost)
        answer = milp(
            cost,
            integrality=np.array(self._whole),
            bounds=Bounds(self._low, self._high),
            constraints=constraints,
            options=options,
        )
        if answer.x is None:
            return None
        values = np.asarray(answer.x, dtype=float)
        values[np.array(self._whole, dtype=bool)] = values[np.array(self._whole, dtype=bool)].round()
        value = float(cost @ values)
        bound = -INFINITY if answer.mip_dual_bound is None else float(answer.mip_dual_bound)
        if answer.status == 0:
            bound = value
        elif least_step and bound > -INFINITY:
            bound = float(np.ceil(bound / least_step - 1e-6) * least_step)
        return Solved(values, value, min(bound, value))
