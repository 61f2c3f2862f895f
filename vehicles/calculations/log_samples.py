"""The samples of a logger, checked and put on an even clock."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from .errors import CalculationError
from .ranges import Range

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float64]

# A logger set to 10 or 200 Hz may be a little off its rate.
RATE = Range(name="sampling rate", label="Sampling rate", low=9.5, high=210, unit="Hz")
CUTOFF = Range(name="cutoff_hz", label="Cut-off of the low-pass filter", low=0.5, high=20, unit="Hz")
CHANNELS = {
    "time_s": Range(name="time_s", label="Time", low=0, high=1e9, unit="s"),
    "x_m": Range(name="x_m", label="Place along the course", low=-50_000, high=50_000, unit="m"),
    "y_m": Range(name="y_m", label="Place across the course", low=-50_000, high=50_000, unit="m"),
    "speed_mps": Range(name="speed_mps", label="Speed", low=0, high=80, unit="m/s"),
    "lateral_mps2": Range(name="lateral_mps2", label="Lateral acceleration", low=-40, high=40, unit="m/s²"),
}
LEAST_SAMPLES = 20
LONGEST_GAP_S = 0.35
# Beyond these it is no single pass any more: the clock jumped, or the logger stood still.
LONGEST_SILENCE_S = 5.0
LONGEST_PASS_S = 300.0
# Samples to either side after which no filter of ours is felt any more: 210 Hz through 0.5 Hz.
_RESPONSE = 2000


@dataclass(frozen=True, kw_only=True)
class Log:
    """Samples of one logger as arrays of one length: x along the course from its start, y to the left.

    The place is that of the body's reference point; lateral acceleration is positive to the left.
    """

    time_s: "Samples"
    x_m: "Samples"
    y_m: "Samples"
    speed_mps: "Samples"
    lateral_mps2: "Samples"

    def part(self, start: int, stop: int) -> "Log":
        """The samples from start to before stop."""
        return Log(**{name: getattr(self, name)[start:stop] for name in CHANNELS})


@dataclass(frozen=True, kw_only=True)
class Even:
    """A log on an even clock; place, speed and lateral acceleration are low-pass filtered.

    ``gaps`` are the drop-outs [s]; ``edge_s`` is how far before and after one its bridge is felt.
    """

    log: Log
    rate_hz: float
    filter: str
    gaps: tuple[tuple[float, float], ...]
    edge_s: float
    speed_error_mps: float

    def hidden(self, time_s: "Samples") -> "NDArray[np.bool_]":
        """Which of these moments lie in a drop-out or so near one that its bridge is felt."""
        import numpy as np

        hidden = np.zeros(np.shape(time_s), dtype=bool)
        for start, end in self.gaps:
            hidden |= (time_s > start - self.edge_s) & (time_s < end + self.edge_s)
        return hidden


def from_samples(**channels: Sequence[float]) -> Log:
    """A log from sequences of numbers, one for each channel: see Log for what they mean.

    Parameters
    ----------
    channels : time_s [s], x_m and y_m [m], speed_mps [m/s], lateral_mps2 [m/s²], each at least 20
        numbers

    Returns
    -------
    Log [s, m, m/s, m/s²].

    Raises
    ------
    CalculationError : naming channel and row, for lengths that differ, too few samples, a number
        that is not finite or out of range, or time that does not rise.

    Notes
    -----
    The rate may vary: ``evened`` puts a pass on an even clock.

    Example
    -------
    >>> steady = {"time_s": [n / 10 for n in range(20)], "x_m": list(range(20)), "y_m": [0] * 20}
    >>> from_samples(**steady, speed_mps=[10] * 20, lateral_mps2=[0] * 20).x_m[-1].item()
    19.0
    >>> from_samples(time_s=[0, 1], x_m=[0, 1], y_m=[0, 0], speed_mps=[1, 1], lateral_mps2=[0, 0])
    Traceback (most recent call last):
        ...
    vehicles.calculations.errors.CalculationError: time_s: 2 samples is outside at least 20 samples

    Source: ranges of a light vehicle on a course, our own.
    """
    import numpy as np

    arrays = {name: np.asarray(channels[name], dtype=float) for name in CHANNELS}
    count = len(arrays["time_s"])
    if count < LEAST_SAMPLES:
        allowed = f"at least {LEAST_SAMPLES} samples"
        raise CalculationError(quantity="time_s", value=f"{count} samples", allowed=allowed)
    for name, array in arrays.items():
        if array.shape != (count,):
            allowed = f"{count} samples, as time_s has"
            raise CalculationError(quantity=name, value=f"{array.size} samples", allowed=allowed)
        limits = CHANNELS[name]
        wrong = ~((array >= limits.low) & (array <= limits.high))
        if wrong.any():
            row = int(np.argmax(wrong))
            raise CalculationError(quantity=f"{name}, sample {row + 1}", value=array[row], allowed=str(limits))
    steps = np.diff(arrays["time_s"])
    if (steps <= 0).any():
        row = int(np.argmax(steps <= 0)) + 1
        value = arrays["time_s"][row]
        allowed = "times that rise from sample to sample"
        raise CalculationError(quantity=f"time_s, sample {row + 1}", value=value, allowed=allowed)
    return Log(**arrays)


def evened(log: Log, *, cutoff_hz: float) -> Even:
    """Put a log on an even clock and filter it: Butterworth of second order, forward and back.

    Parameters: log; cut-off frequency [Hz]. Returns: Even: its rate is the median of the log's,
    drop-outs are bridged in a straight line and listed when they are longer than 0.35 s; the error
    of speed is one standard deviation of what noise the filter leaves [m/s].
    Raises CalculationError for fewer than 20 samples, more than 5 s without a sample, more than
    300 s in all, a rate outside 10 to 200 Hz, or a cut-off at or above half the rate.

    Notes: forward and back leaves no delay and makes it a filter of fourth order, with half the
    amplitude left at the cut-off. The error of speed is judged from what the filter takes away,
    as if that were noise without memory; a receiver that smooths its own speed shows too little.

    >>> import numpy as np
    >>> time = np.arange(0, 4, 0.02)
    >>> still = np.zeros_like(time)
    >>> log = Log(time_s=time, x_m=20 * time, y_m=still, speed_mps=still + 20, lateral_mps2=still)
    >>> even = evened(log, cutoff_hz=4)
    >>> even.rate_hz, even.gaps, round(float(even.log.speed_mps.max()), 6)
    (50.0, (), 20.0)

    Source: Butterworth low-pass, textbook.
    """
    import numpy as np
    from scipy.signal import sosfiltfilt  # type: ignore[import-untyped]

    steps = _steps(log)
    step = float(np.median(steps))
    rate = RATE.check(round(1 / step, 3))
    CUTOFF.check(cutoff_hz)
    if cutoff_hz >= rate / 2:
        allowed = f"less than half the sampling rate, {rate / 2:g} Hz"
        raise CalculationError(quantity="cutoff_hz", value=cutoff_hz, allowed=allowed)
    count = int((log.time_s[-1] - log.time_s[0]) / step + 1.5)
    clock = log.time_s[0] + step * np.arange(count)
    rows = np.array([np.interp(clock, log.time_s, getattr(log, name)) for name in CHANNELS if name != "time_s"])
    raw_speed = rows[2]
    rows = sosfiltfilt(low_pass(cutoff_hz=cutoff_hz, rate_hz=rate), rows)
    late = np.flatnonzero(steps > max(LONGEST_GAP_S, 1.5 * step))
    return Even(
        log=Log(time_s=clock, x_m=rows[0], y_m=rows[1], speed_mps=rows[2], lateral_mps2=rows[3]),
        rate_hz=rate,
        filter=f"Butterworth low-pass, 2nd order forward and back, {cutoff_hz:g} Hz, sampled at {rate:.4g} Hz",
        gaps=tuple((float(log.time_s[n]), float(log.time_s[n + 1])) for n in late),
        edge_s=max(0.5 / cutoff_hz, 2 * step),
        speed_error_mps=float(np.std(raw_speed - rows[2])) * _noise_left(cutoff_hz=cutoff_hz, rate_hz=rate),
    )


@lru_cache(maxsize=32)
def low_pass(*, cutoff_hz: float, rate_hz: float) -> "Samples":
    """Sections of the Butterworth low-pass of second order, kept: every pass of a log asks for the same.

    Parameters: cut-off and sampling rate [Hz]. Returns: second-order sections [-].

    >>> low_pass(cutoff_hz=4, rate_hz=100).shape
    (1, 6)

    Source: Butterworth low-pass, textbook.
    """
    from scipy.signal import butter

    sections: Samples = butter(2, cutoff_hz, fs=rate_hz, output="sos")
    return sections


@lru_cache(maxsize=32)
def _noise_left(*, cutoff_hz: float, rate_hz: float) -> float:
    """Noise that the filter leaves for each unit of noise that it takes away, both as deviations.

    Of white noise the filter with the response h leaves √Σh² and takes √(1 − 2 h₀ + Σh²).
    """
    import numpy as np
    from scipy.signal import sosfiltfilt

    impulse = np.zeros(2 * _RESPONSE + 1)
    impulse[_RESPONSE] = 1.0
    response = sosfiltfilt(low_pass(cutoff_hz=cutoff_hz, rate_hz=rate_hz), impulse)
    power = float(response @ response)
    return float(np.sqrt(power / (1 - 2 * response[_RESPONSE] + power)))


def _steps(log: Log) -> "Samples":
    """The time from each sample to the next, when they can be one pass."""
    import numpy as np

    count = len(log.time_s)
    if count < LEAST_SAMPLES:
        allowed = f"at least {LEAST_SAMPLES} samples in one pass"
        raise CalculationError(quantity="time_s", value=f"{count} samples", allowed=allowed)
    steps = np.diff(log.time_s)
    if steps.max() > LONGEST_SILENCE_S:
        value, allowed = f"{steps.max():.6g} s without a sample", f"at most {LONGEST_SILENCE_S:g} s within a pass"
        raise CalculationError(quantity="time_s", value=value, allowed=allowed)
    if log.time_s[-1] - log.time_s[0] > LONGEST_PASS_S:
        value, allowed = f"{log.time_s[-1] - log.time_s[0]:.6g} s", f"at most {LONGEST_PASS_S:g} s for one pass"
        raise CalculationError(quantity="time_s", value=value, allowed=allowed)
    return steps
