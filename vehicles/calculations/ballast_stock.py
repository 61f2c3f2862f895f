"""The ballast a workshop has: kinds of pieces, how many there are, what a place may carry."""

from collections.abc import Mapping
from dataclasses import dataclass

from .ballast import COUNT, PIECE, TARGET, Piece
from .errors import CaseError
from .ranges import Range
from .reading import Reader

PLACES = {"floor": "Floor before a seat", "seat": "Seat", "luggage": "Luggage area", "bed": "Load bed"}
KEYS = ("edition", "source", "pieces", "most_kg")


@dataclass(frozen=True, kw_only=True)
class BallastStock:
    """Pieces in stock and the most that one place of each sort may carry [kg]."""

    edition: str
    source: str
    pieces: tuple[Piece, ...]
    most_kg: Mapping[str, float]

    @classmethod
    def from_data(cls, data: Mapping[str, object]) -> "BallastStock":
        """Read a stock from plain data, as in fixtures/ballast_stock.json.

        Parameters: mapping of text, lists and numbers; masses in kg. Returns: BallastStock.
        Raises CaseError with every problem at once. Source: our own format.
        """
        reader = _StockReader()
        stock = reader.stock(data)
        if reader.problems:
            raise CaseError(tuple(reader.problems))
        return stock


class _StockReader(Reader):
    """Reads on after a problem, so that every problem is reported in one go."""

    def stock(self, data: object) -> BallastStock:
        given = self.mapping(data, "ballast stock", KEYS, prefix="")
        raw = given.get("pieces")
        if not isinstance(raw, list) or not raw:
            self.wrong("pieces", "missing; a list with at least one kind of piece is needed")
            raw = []
        pieces = [self.piece(item, f"pieces[{index}]") for index, item in enumerate(raw)]
        keys = [piece.key for piece in pieces if piece]
        for key in sorted({key for key in keys if keys.count(key) > 1}):
            self.wrong("pieces", f"{key!r} stands twice; allowed: each kind once, with its count")
        most = self.mapping(given.get("most_kg"), "most_kg", tuple(PLACES))
        return BallastStock(
            edition=self.text(given, "edition", "edition"),
            source=self.text(given, "source", "source"),
            pieces=tuple(piece for piece in pieces if piece),
            most_kg={name: self.needed(most, name, f"most_kg.{name}", TARGET) for name in PLACES},
        )

    def piece(self, raw: object, path: str) -> Piece | None:
        given = self.mapping(raw, path, ("key", "mass_kg", "count"))
        before = len(self.problems)
        key = self.text(given, "key", f"{path}.key")
        mass = self.needed(given, "mass_kg", f"{path}.mass_kg", PIECE)
        count = self.needed(given, "count", f"{path}.count", COUNT)
        return Piece(key=key, mass_kg=mass, count=int(count)) if len(self.problems) == before else None

    def text(self, given: Mapping[str, object], name: str, path: str) -> str:
        value = given.get(name)
        if isinstance(value, str) and value.strip():
            return value
        self.wrong(path, "missing; text is needed")
        return ""

    def needed(self, given: Mapping[str, object], name: str, path: str, row: Range) -> float:
        if given.get(name) is None:
            self.wrong(path, f"missing; allowed: {row}")
        return self.number(given.get(name), path, row) or 0.0
