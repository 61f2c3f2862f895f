"""Reading corner weights, an axle lift and rows of seats from a raw case."""

from collections.abc import Callable, Mapping
from typing import TypeVar

from . import ranges
from .errors import shown
from .measurements import AXLES, AxleLift, Corners, LiftStep, SeatRow
from .reading import Reader

Item = TypeVar("Item")
MOST_STEPS, MOST_ROWS = 12, 8


class MeasurementReader(Reader):
    """Reads what may be measured beyond the facts of the vehicle."""

    def corner_weights(self, raw: object) -> Corners:
        given = self.mapping(raw, "corner_weights", tuple(ranges.CORNERS))
        return Corners(**self.numbers(given, "corner_weights", ranges.CORNERS))

    def axle_lift(self, raw: object) -> AxleLift | None:
        if raw is None:
            return None
        given = self.mapping(raw, "axle_lift", ("raised_axle", *ranges.AXLE_LIFT, "steps"))
        return AxleLift(
            raised_axle=self.choice(given.get("raised_axle"), "axle_lift.raised_axle", AXLES),
            **self.numbers(given, "axle_lift", ranges.AXLE_LIFT),
            steps=self.items(given.get("steps"), "axle_lift.steps", self.lift_step, MOST_STEPS),
        )

    def lift_step(self, raw: object, path: str) -> LiftStep:
        given = self.mapping(raw, path, tuple(ranges.LIFT_STEP))
        return LiftStep(**self.numbers(given, path, ranges.LIFT_STEP))

    def seat_rows(self, raw: object) -> tuple[SeatRow, ...]:
        return self.items(raw, "seat_rows", self.seat_row, MOST_ROWS)

    def seat_row(self, raw: object, path: str) -> SeatRow:
        given = self.mapping(raw, path, tuple(ranges.SEAT_ROW))
        seats = self.number(given.get("seats"), f"{path}.seats", ranges.SEAT_ROW["seats"])
        return SeatRow(
            x_mm=self.number(given.get("x_mm"), f"{path}.x_mm", ranges.SEAT_ROW["x_mm"]),
            seats=None if seats is None else int(seats),
        )

    def numbers(
        self, given: Mapping[str, object], path: str, table: Mapping[str, ranges.Range]
    ) -> dict[str, float | None]:
        return {name: self.number(given.get(name), f"{path}.{name}", row) for name, row in table.items()}

    def items(self, raw: object, path: str, read: Callable[[object, str], Item], most: int) -> tuple[Item, ...]:
        if raw is None:
            return ()
        if not isinstance(raw, list | tuple):
            self.wrong(path, f"{shown(raw)} is not a list; a list of objects is needed")
            return ()
        if len(raw) > most:
            self.wrong(path, f"{len(raw)} are too many; allowed: at most {most}")
            return ()
        return tuple(read(item, f"{path}[{index}]") for index, item in enumerate(raw))
