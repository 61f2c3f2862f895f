"""The path through a set of gates that needs the least peak curvature, as a linear programme."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from .errors import CalculationError


@dataclass(frozen=True, kw_only=True)
class Window:
    """A point of the body, ``arm_m`` ahead of the path at ``node``, kept between two y values."""

    node: int
    arm_m: float
    low_m: float
    high_m: float


@dataclass(frozen=True, kw_only=True)
class GatePath:
    """Least peak curvature [1/m] and one path y(x) that reaches it, at the nodes."""

    peak_curvature_pm: float
    y_m: tuple[float, ...] = field(repr=False)


def least_peak(*, intervals: int, step_m: float, windows: Sequence[Window], ramp_pm2: float | None = None) -> GatePath:
    """Path with the least peak curvature through the windows: minimise max |y''|.

    The curvature y'' is constant within each interval, so heading y' and place y follow exactly:
    θ(k+1) = θ(k) + Δ κ(k), y(k+1) = y(k) + Δ θ(k) + Δ²/2 κ(k). Each window asks
    low ≤ y(k) + arm θ(k) ≤ high. The change of curvature between intervals may be limited.
    Everything is linear, so the optimum is exact for the grid.

    Parameters
    ----------
    intervals : number of intervals of the grid, at least 2 [-]
    step_m : length Δ of an interval [m]
    windows : limits on points of the body [m]
    ramp_pm2 : greatest change of curvature per metre, None for no limit [1/m²]

    Returns
    -------
    GatePath: peak curvature [1/m] and y at each of the intervals + 1 nodes [m].

    Raises
    ------
    CalculationError : no path passes all windows within the ramp limit.

    Notes
    -----
    Small slopes: heading is y', curvature is y''. Heading and place at the first node are free.

    Example
    -------
    A point at rest heading moved 1 m sideways over 10 m needs 4 d / L² = 0.04 1/m:

    >>> straight = [Window(node=k, arm_m=a, low_m=y, high_m=y) for k, y in ((0, 0), (10, 1)) for a in (0, 1)]
    >>> round(least_peak(intervals=10, step_m=1, windows=straight).peak_curvature_pm, 6)
    0.04

    Source: two equal and opposite arcs are time-optimal control of a double integrator, textbook.
    """
    import numpy as np
    from scipy.optimize import linprog  # type: ignore[import-untyped]
    from scipy.sparse import csr_array, diags_array, hstack, vstack  # type: ignore[import-untyped]

    node = np.array([w.node for w in windows])[:, None]
    arm = np.array([w.arm_m for w in windows])[:, None]
    interval = np.arange(intervals)
    effect = np.where(interval < node, step_m**2 * (node - interval - 0.5) + step_m * arm, 0.0)
    # Unknowns: y and heading at the start, one curvature per interval, and their bound.
    places = csr_array(np.hstack([np.ones_like(arm), node * step_m + arm, effect, np.zeros_like(arm)]))
    start = csr_array((intervals, 2))
    each = diags_array(np.ones(intervals))
    bound = csr_array(-np.ones((intervals, 1)))
    rows = [places, -places, hstack([start, each, bound]), hstack([start, -each, bound])]
    limits = [
        np.array([w.high_m for w in windows]),
        -np.array([w.low_m for w in windows]),
        np.zeros(2 * intervals),
    ]
    if ramp_pm2 is not None:
        change = diags_array([-1.0, 1.0], offsets=[0, 1], shape=(intervals - 1, intervals))
        pad = csr_array((intervals - 1, 2)), csr_array((intervals - 1, 1))
        rows += [hstack([pad[0], change, pad[1]]), hstack([pad[0], -change, pad[1]])]
        limits.append(np.full(2 * (intervals - 1), ramp_pm2 * step_m))
    cost = np.zeros(intervals + 3)
    cost[-1] = 1.0
    found = linprog(
        cost,
        A_ub=vstack(rows, format="csc"),
        b_ub=np.concatenate(limits),
        bounds=(None, None),
        method="highs",
    )
    if not found.success:
        allowed = "gates the body can pass within the limit on the change of curvature"
        raise CalculationError(quantity="gates", value="no path", allowed=allowed)
    y0, heading0, *curvature = found.x[:-1]
    kappa = np.array(curvature)
    heading = heading0 + step_m * np.concatenate([[0.0], np.cumsum(kappa)])
    moves = step_m * heading[:-1] + step_m**2 / 2 * kappa
    y = y0 + np.concatenate([[0.0], np.cumsum(moves)])
    return GatePath(peak_curvature_pm=float(found.fun), y_m=tuple(y.tolist()))
