"""The integer programme behind a loading plan."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Rows = list[tuple[Numbers, float]]

GRAM = 1e-3
TARGET, STOCK, PLACES, LEAST, MOST = "target", "stock", "places", "least", "most"
FRONT, REAR = "front axle", "rear axle"
LIMITS = {
    PLACES: "the places may not carry that much: allow more at a place or add places",
    LEAST: "what must lie at one place by itself leaves no loading of the others",
    MOST: "the ballast would be heavier than allowed in all: the stock has no pieces that come closer",
    FRONT: "the front axle would be over its rating: add places further back",
    REAR: "the rear axle would be over its rating: add places further forward",
}


class NoLoadingError(Exception):
    """No number of pieces at the places keeps all the limits."""


class Piece(Protocol):
    @property
    def mass_kg(self) -> float: ...
    @property
    def count(self) -> int: ...


class Place(Protocol):
    @property
    def x_mm(self) -> float: ...
    @property
    def height_mm(self) -> float: ...
    @property
    def share_kg(self) -> float: ...
    @property
    def most_kg(self) -> float: ...
    @property
    def least_kg(self) -> float: ...


class Axles(Protocol):
    @property
    def wheelbase_mm(self) -> float: ...
    @property
    def front_kg(self) -> float: ...
    @property
    def rear_kg(self) -> float: ...
    @property
    def front_rating_kg(self) -> float | None: ...
    @property
    def rear_rating_kg(self) -> float | None: ...


class LoadingProblem:
    """Counts n[piece, place], one more unknown for the worst difference from a share."""

    def __init__(
        self,
        *,
        target_kg: float,
        stock: Sequence[Piece],
        places: Sequence[Place],
        axles: Axles,
        most_kg: float | None,
    ) -> None:
        import numpy as np

        self.stock, self.places, self.target_kg = stock, places, target_kg
        self.mass = np.repeat([float(piece.mass_kg) for piece in stock], len(places))
        self.height = np.tile([float(place.height_mm) for place in places], len(stock))
        rear = np.tile([place.x_mm / axles.wheelbase_mm for place in places], len(stock)) * self.mass
        at = np.tile(np.arange(len(places)), len(stock))
        of = np.repeat(np.arange(len(stock)), len(places))
        self.at_place = [np.where(at == n, self.mass, 0.0) for n in range(len(places))]
        self.rows: dict[str, Rows] = {
            TARGET: [(-self.mass, -target_kg)],
            STOCK: [(np.where(of == n, 1.0, 0.0), float(piece.count)) for n, piece in enumerate(stock)],
            PLACES: [(row, place.most_kg) for row, place in zip(self.at_place, places, strict=True)],
            LEAST: [(-row, -place.least_kg) for row, place in zip(self.at_place, places, strict=True)],
            MOST: [] if most_kg is None else [(self.mass, most_kg)],
            FRONT: [],
            REAR: [],
        }
        if axles.front_rating_kg is not None:
            self.rows[FRONT] = [(self.mass - rear, axles.front_rating_kg - axles.front_kg)]
        if axles.rear_rating_kg is not None:
            self.rows[REAR] = [(rear, axles.rear_rating_kg - axles.rear_kg)]

    def solve(self) -> list[list[int]] | None:
        """Pieces by kind and place, or None when no loading keeps all limits."""
        try:
            best = self._in_order()
        except NoLoadingError:
            return None
        counts = [round(float(count)) for count in best[:-1]]
        width = len(self.places)
        return [counts[n * width : (n + 1) * width] for n in range(len(self.stock))]

    def _in_order(self) -> "Numbers":
        """Least mass, then the most even spread of it, then the lowest of those, in the fewest pieces."""
        import numpy as np

        limits = self._all(self.rows)
        total = float(self._best(cost=self.mass, rows=limits)[:-1] @ self.mass)
        limits.append((self.mass, total + GRAM))
        worst = float(self._best(cost=0 * self.mass, rows=limits, worst=1.0)[-1])
        moment = self.mass * self.height / 1000
        low = float(self._best(cost=moment, rows=limits, most_worst=worst + GRAM)[:-1] @ moment)
        limits.append((moment, low + GRAM))
        return self._best(cost=np.ones_like(self.mass), rows=limits, most_worst=worst + GRAM)

    def why_not(self) -> tuple[str, ...]:
        """What stands in the way: each limit without which a loading would be found."""
        held = sum(piece.mass_kg * piece.count for piece in self.stock)
        if held < self.target_kg:
            return (f"the stock holds {held:g} kg, {self.target_kg:g} kg are needed",)
        room = sum(place.most_kg for place in self.places)
        if room < self.target_kg:
            return (f"the places may carry {room:g} kg, {self.target_kg:g} kg are needed",)
        alone = tuple(text for limit, text in LIMITS.items() if self._without(limit))
        return alone or ("several limits together leave no loading: " + ", ".join(LIMITS),)

    def _without(self, limit: str) -> bool:
        others = {name: rows for name, rows in self.rows.items() if name != limit}
        try:
            self._best(cost=self.mass, rows=self._all(others))
        except NoLoadingError:
            return False
        return True

    @staticmethod
    def _all(rows: "Mapping[str, Rows]") -> "Rows":
        return [row for group in rows.values() for row in group]

    def _best(
        self, *, cost: "Numbers", rows: "Rows", worst: float = 0.0, most_worst: float = float("inf")
    ) -> "Numbers":
        """Counts, then the worst difference from a share, that cost the least."""
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp  # type: ignore[import-untyped]

        lines = [np.append(row, 0.0) for row, _ in rows]
        limits = [limit + GRAM / 10 for _, limit in rows]
        for row, place in zip(self.at_place, self.places, strict=True):
            lines += [np.append(row, -1.0), np.append(-row, -1.0)]
            limits += [place.share_kg, -place.share_kg]
        found = milp(
            np.append(cost, worst),
            constraints=LinearConstraint(np.array(lines), ub=np.array(limits)),
            # Whole kilograms of difference: as even as anyone can load, and proved in a fraction of the time.
            integrality=np.ones(len(cost) + 1),
            bounds=Bounds(0, np.append(np.full_like(cost, np.inf), most_worst)),
            options={"mip_rel_gap": 0.0},
        )
        if not found.success:
            raise NoLoadingError
        return np.array(found.x)
