"""Whether a logged lateral acceleration agrees with the path that was logged beside it."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from .log_samples import Even, low_pass
from .manoeuvre import GRAVITY_MPS2

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float64]

# Slow enough for the noise of a receiver's place, fast enough for a lane change.
CHECK_HZ = 1.0
LEAST_G, AGREES, BIAS_G = 0.05, (2 / 3, 1.5), 0.05
ROLLED = (
    "Lateral acceleration is as the sensor read it: 5° of body roll adds about 0.09 g to a sensor that is fixed to "
    "the body."
)


def lateral_cautions(even: Even) -> Iterator[str]:
    """What to know about the lateral acceleration of one pass, and whether it fits the path.

    Compares a line a = k v² κ + b through both, with speed v and curvature κ of the path, both
    low-pass filtered at 1 Hz: k far from 1 is a wrong sign or unit, b is a bias of the sensor.

    Parameters
    ----------
    even : the samples on an even clock [s, m, m/s, m/s²]

    Returns
    -------
    Sentences: always that roll is not taken out; that sensor and path disagree when k lies
    outside 0.67 to 1.5; that the sensor is biased when b is beyond 0.05 g.

    Raises
    ------
    Nothing.

    Notes
    -----
    Roll of the body makes k about 1.1 and sideslip changes it little, so neither is named. A path
    with less than 0.05 g in it, as root mean square, says nothing.

    Example
    -------
    >>> import numpy as np
    >>> from .log_samples import Log, evened
    >>> time = np.arange(0, 5, 0.02)
    >>> log = Log(time_s=time, x_m=20 * time, y_m=np.sin(time), speed_mps=np.full_like(time, 20),
    ...           lateral_mps2=np.sin(time))
    >>> [text[:36] for text in lateral_cautions(evened(log, cutoff_hz=4))]
    ['Lateral acceleration is as the senso', 'Lateral acceleration and path disagr']

    Source: kinematics, a = v² κ; limits: our own assumption.
    """
    import numpy as np
    from scipy.signal import sosfiltfilt  # type: ignore[import-untyped]

    yield ROLLED
    both = np.array([even.log.lateral_mps2, _by_path(even)]) / GRAVITY_MPS2
    both = sosfiltfilt(low_pass(cutoff_hz=CHECK_HZ, rate_hz=even.rate_hz), both)
    sensed, path = both[:, ~even.hidden(even.log.time_s)]
    spread = np.var(path)
    if spread < LEAST_G**2:
        return
    factor = np.mean((sensed - sensed.mean()) * (path - path.mean())) / spread
    bias = sensed.mean() - factor * path.mean()
    if not AGREES[0] <= factor <= AGREES[1]:
        yield (
            f"Lateral acceleration and path disagree: the sensor shows {factor:.2f} times what speed and path give. "
            "Check sign and unit of its column."
        )
    if abs(bias) > BIAS_G:
        yield f"Lateral acceleration is {bias:+.2f} g off against speed and path: a bias of the sensor."


def _by_path(even: Even) -> "Samples":
    """Speed times the rate at which the direction of the path turns [m/s²]."""
    import numpy as np

    log = even.log
    heading = np.unwrap(np.arctan2(np.gradient(log.y_m), np.gradient(log.x_m)))
    turning: Samples = log.speed_mps * np.gradient(heading, log.time_s)
    return turning
