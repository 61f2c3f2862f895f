"""Drives the published multi-body model of ``commonroad-vehicle-models`` along a path.

The model is the outside world here: nothing of it is used by the calculation module. The driver
is ideal: a steering plan is fitted on a linear single-track model of the same vehicle, and the
multi-body vehicle is held to that plan by feedback.
"""

from dataclasses import dataclass
from importlib import import_module
from typing import Any

import numpy as np
from scipy.linalg import expm, solve_continuous_are
from vehiclemodels.init_mb import init_mb
from vehiclemodels.vehicle_dynamics_mb import vehicle_dynamics_mb

STEP_S = 0.0025
PLAN_S = 0.02
GRAVITY = 9.81


@dataclass(frozen=True)
class Drive:
    """What the simulation recorded at the centre of gravity."""

    time_s: np.ndarray
    x_m: np.ndarray
    y_m: np.ndarray
    yaw_rad: np.ndarray
    speed_mps: np.ndarray
    lateral_mps2: np.ndarray


def parameters(number: int) -> Any:
    return getattr(import_module(f"vehiclemodels.parameters_vehicle{number}"), f"parameters_vehicle{number}")()


def single_track(vehicle: Any, speed: float) -> tuple[np.ndarray, np.ndarray]:
    """Linear model: y, lateral velocity, yaw, yaw rate, steering angle; input is the steering rate."""
    a, b, m, inertia = vehicle.a, vehicle.b, vehicle.m, vehicle.I_z
    stiffness = -vehicle.tire.p_ky1 * m * GRAVITY / (a + b)
    front, rear = stiffness * b, stiffness * a
    system = np.array(
        [
            [0, 1, speed, 0, 0],
            [0, -(front + rear) / (m * speed), 0, (b * rear - a * front) / (m * speed) - speed, front / m],
            [0, 0, 0, 1, 0],
            [
                0,
                (b * rear - a * front) / (inertia * speed),
                0,
                -(a**2 * front + b**2 * rear) / (inertia * speed),
                a * front / inertia,
            ],
            [0, 0, 0, 0, 0],
        ]
    )
    return system, np.array([0.0, 0, 0, 0, 1])


def steering_plan(
    system: np.ndarray, entry: np.ndarray, start: np.ndarray, wanted_y: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Steering rates whose path comes nearest to the wanted one, and the states they lead through."""
    block = np.zeros((6, 6))
    block[:5, :5], block[:5, 5] = system, entry
    exact = expm(block * PLAN_S)
    ahead, push = exact[:5, :5], exact[:5, 5]
    count = len(wanted_y) - 1
    effect, free = np.zeros((count, count)), np.zeros(count)
    response, state = push.copy(), start.copy()
    for k in range(count):
        state = ahead @ state
        free[k] = state[0]
        effect[np.arange(k, count), np.arange(count - k)] = response[0]
        response = ahead @ response
    tall = np.vstack([effect, 0.02 * np.eye(count)])
    rates = np.linalg.lstsq(tall, np.concatenate([wanted_y[1:] - free, np.zeros(count)]), rcond=None)[0]
    states = [start]
    for u in rates:
        states.append(ahead @ states[-1] + push * u)
    return rates, np.array(states)


def drive(*, vehicle: Any, speed_mps: float, path: np.ndarray, end_m: float) -> Drive:
    """Follow the path (rows of x, y, straight at both ends) at a held speed."""
    system, entry = single_track(vehicle, speed_mps)
    clock = np.arange(0, (path[-1, 0] - path[0, 0]) / speed_mps, PLAN_S)
    wanted = np.interp(path[0, 0] + speed_mps * clock, path[:, 0], path[:, 1])
    yaw = np.arctan((path[1, 1] - path[0, 1]) / (path[1, 0] - path[0, 0]))
    rates, plan = steering_plan(system, entry, np.array([wanted[0], 0, yaw, 0, 0]), wanted)
    riccati = solve_continuous_are(system, entry[:, None], np.diag([20.0, 0, 20.0, 0, 0]), np.eye(1))
    gain = entry @ riccati

    def rate(state: np.ndarray) -> np.ndarray:
        at = (state[0] - path[0, 0]) / speed_mps
        target = np.array([np.interp(at, clock, column) for column in plan.T])
        seen = state[[1, 10, 4, 5, 2]]
        turn_rate = rates[min(int(at / PLAN_S), len(rates) - 1)] - gain @ (seen - target)
        push = 4.0 * (speed_mps - state[3])
        return np.array(vehicle_dynamics_mb(list(state), [turn_rate, push], vehicle))

    state = np.array(init_mb([path[0, 0], wanted[0], 0.0, speed_mps, float(yaw), 0.0, 0.0], vehicle))
    rows, time = [], 0.0
    while state[0] < end_m:
        k1 = rate(state)
        rows.append((time, state[0], state[1], state[4], state[3], k1[10] + state[3] * state[5]))
        k2 = rate(state + STEP_S / 2 * k1)
        k3 = rate(state + STEP_S / 2 * k2)
        k4 = rate(state + STEP_S * k3)
        state = state + STEP_S / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
        time += STEP_S
        assert time < 30, "the simulated vehicle did not reach the end of the course"
    return Drive(*np.array(rows).T)
