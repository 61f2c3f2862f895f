"""How near the body came to each cone."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from .course import Cone, Course
from .manoeuvre import Body

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Margin:
    """Least distance from the body to the point where a cone's base touches the lane [m].

    Negative when the body passed over that point: the cone was moved. None when it is not known
    how the body passed the cone.
    """

    cone: Cone
    margin_m: float | None


def margins(
    *, course: Course, body: Body, x_m: "Samples", y_m: "Samples", hidden: "NDArray[np.bool_] | None" = None
) -> tuple[Margin, ...]:
    """Least distance of the body's outline from each cone along a path.

    Parameters: course [m]; body about its reference point [m]; the path of that point, close
    samples [m]; which of them are not known, only bridged. Returns: a Margin for each cone in the
    order of the course; None where the body went past the cone, or part of the way, unseen, unless
    what was seen of it passed over the cone.

    Notes: the body is a rectangle that heads along the path, without sideslip; mirrors and the
    height of cones are left out.

    >>> import numpy as np
    >>> from .course import lay_out
    >>> from .manoeuvre import body
    >>> car = body(width_m=1.8, length_m=4.8, front_overhang_m=None, wheelbase_m=None)
    >>> x = np.linspace(-10, 135, 1451)
    >>> straight = margins(course=lay_out(width_mm=1800), body=car, x_m=x, y_m=np.full_like(x, 2.23 / 2))
    >>> round(straight[0].margin_m, 3)
    0.215

    Source: distance from a point to a rectangle, plane geometry.
    """
    import numpy as np

    yaw = np.arctan2(np.gradient(y_m), np.gradient(x_m))
    cone_x = np.array([cone.x_m for cone in course.cones])[:, None]
    cone_y = np.array([cone.y_m for cone in course.cones])[:, None]
    east, north = cone_x - x_m, cone_y - y_m
    along = east * np.cos(yaw) + north * np.sin(yaw)
    across = north * np.cos(yaw) - east * np.sin(yaw)
    over_end = np.maximum(along - body.ahead_m, -body.behind_m - along)
    over_side = np.abs(across) - body.width_m / 2
    outside = np.hypot(np.maximum(over_end, 0), np.maximum(over_side, 0))
    distance = outside + np.minimum(np.maximum(over_end, over_side), 0)
    unseen = np.zeros(len(x_m), dtype=bool) if hidden is None else hidden
    partly = np.any((over_end <= 0) & unseen, axis=1)
    least = np.where(unseen, np.inf, distance).min(axis=1)
    return tuple(
        Margin(cone=cone, margin_m=None if unknown and margin >= 0 else float(margin))
        for cone, margin, unknown in zip(course.cones, least, partly, strict=True)
    )
