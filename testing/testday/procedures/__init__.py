"""Measured procedures: each is an entry in the data and one class that judges what was measured."""

from testing.testday.procedures.base import MeasuredProcedure, measured, measured_keys
from testing.testday.procedures.brake import Brake
from testing.testday.procedures.noise import Noise

__all__ = ["Brake", "MeasuredProcedure", "Noise", "measured", "measured_keys"]
