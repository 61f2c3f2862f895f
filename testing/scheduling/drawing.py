"""A day of weather as numbers for a line drawing: a column for each hour, a line at the limit."""

from vehicles.calculations.weather import MET

COLUMN, HEIGHT, SCALE_MPS = 26, 84, 9.0
GROUND = HEIGHT - 2


def drawn(day, limits):
    """Columns, limit and windows of a day, in the units of the drawing."""
    columns = []
    for number, line in enumerate(day.lines):
        wind = _height(line.row.wind_mps) if line.row else None
        gust = _height(line.row.gust_mps) if line.row else None
        columns.append(
            {
                "x": number * COLUMN,
                "middle": number * COLUMN + COLUMN / 2,
                "hour": f"{line.at:%H}",
                "shut": not line.usable,
                "good": line.verdict == MET,
                "top": None if wind is None else GROUND - wind,
                "tall": wind,
                "gust": None if gust is None else GROUND - gust,
                "rain": bool(line.row and line.row.rain_mm),
            }
        )
    return {
        "columns": columns,
        "width": COLUMN * len(columns),
        "height": HEIGHT + 26,
        "ground": GROUND,
        "limit": GROUND - _height(limits.wind_mps),
        "column": COLUMN,
    }


def _height(mps):
    return None if mps is None else round(min(mps, SCALE_MPS) / SCALE_MPS * (HEIGHT - 12), 1)
