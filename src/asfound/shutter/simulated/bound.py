"""How well the effective time could be known at all: the Cramér-Rao bound of the fitted model."""

import math

import numpy as np

from asfound.shutter.simulated.light import Exposure, SoundInput
from asfound.shutter.timing.coupling import Floats
from asfound.shutter.timing.fit import Binned, Edges, edge_weights, linearise


def effective_time_bound_s(
    exposure: Exposure, line: SoundInput, *, lead_s: float, tail_s: float, pole_known: bool = False
) -> float:
    """Return the least standard deviation that an unbiased effective time can have.

    Parameters
    ----------
    exposure : Exposure
        A firing that reaches full opening, without rebound.
    line : SoundInput
        With white noise and at most one coupling pole.
    lead_s, tail_s : float
        Dark before the first and after the last light that may be used.
    pole_known : bool
        Take the coupling's corner frequency as known (such as none, at an input that passes steady light).

    Notes
    -----
    Inverse of the Fisher information of the seven parameters first light, opening, last light, closing,
    pole, plateau and dark level, projected on the effective time (Kay, Estimation Theory, 1993, ch. 3, from
    memory). The shapes of the edges are taken as known.
    """
    rate = line.sample_rate_hz
    size = round((lead_s + exposure.total_open_s + tail_s) * rate)
    time: Floats = np.arange(size) / rate
    pole = 2 * math.pi * line.coupling_hz[0] if line.coupling_hz else 0.0
    edges = Edges(
        first_s=lead_s,
        opening_s=exposure.opening_s,
        last_s=lead_s + exposure.total_open_s,
        closing_s=exposure.closing_s,
    )
    shapes = (exposure.opening_shape, exposure.closing_shape)
    vector = np.array(
        [edges.first_s, edges.opening_s, edges.last_s, edges.closing_s, pole, line.level, line.offset, 0, 0]
    )
    loose = np.array([True] * 4 + [not pole_known] + [True] * 2 + [False] * 2)
    samples = Binned(time, np.zeros(size), np.ones(size), 1 / rate)
    _, jacobian = linearise(samples, np.full(size, 1 / line.noise_rms), vector, shapes, loose)
    weights = np.zeros(int(loose.sum()))
    weights[:4] = edge_weights(shapes)
    information = jacobian.T @ jacobian
    scale = np.sqrt(np.diag(information))
    inverse = np.linalg.inv(information / np.outer(scale, scale)) / np.outer(scale, scale)
    return math.sqrt(weights @ inverse @ weights)
