"""The sharpest of a series of ground-glass photographs: a measure, and a robust peak with its uncertainty."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy  # its rooms load when used
from numpy.typing import NDArray
from scipy.special import fdtrc

from asfound.problems import bad_input
from asfound.quantity import Reading

Floats = NDArray[np.float64]
LEAST_PHOTOGRAPHS = 6
CURVE_POINTS = 121
CHANCE = 0.01
LOWEST, HIGHEST = (-2.0, 0.0, -2.0, 0.02), (2.0, 5.0, 1.0, 5.0)  # of peak, height, foot, width, in scaled numbers
FLOOR = 0.2  # scatter of the softest photographs as a share of that of the sharpest
# What the form of the curve may shift the peak by, as a share of the step between photographs: an allowance of
# this project, from simulated series with blur discs and Gaussian blur, steps up to half a focus budget and more.
STEP_SHARE = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class SharpnessPeak:
    """The peak of sharpness over the settings.

    Attributes
    ----------
    peak : Reading
        Setting of best focus.
    settings, sharpness : tuple of float
        What was given, in the order of the settings.
    fitted : tuple of float
        The fitted curve at the settings.
    curve : tuple of (setting, sharpness)
        The fitted curve, finely stepped for a drawing.
    doubtful : tuple of float
        Settings whose photograph lies far off the curve (shaken, or taken at another exposure).
    """

    peak: Reading
    settings: tuple[float, ...]
    sharpness: tuple[float, ...]
    fitted: tuple[float, ...]
    curve: tuple[tuple[float, float], ...]
    doubtful: tuple[float, ...]

    def flat(self) -> dict[str, object]:
        """Return the peak under its JSON names."""
        return {
            **self.peak.flat("peak"),
            "settings": list(self.settings),
            "sharpness": list(self.sharpness),
            "fitted": list(self.fitted),
            "doubtful": list(self.doubtful),
        }


def sharpness_of(grey: NDArray[np.floating] | NDArray[np.integer]) -> float:
    """Return the sharpness of a photograph: mean squared gradient over the squared mean brightness.

    The gradient is that of a Gaussian of one pixel (``scipy.ndimage.gaussian_gradient_magnitude``), so that
    single-pixel noise counts little; the division takes out a change of exposure.

    Parameters
    ----------
    grey : array, shape (rows, columns)
        Grey values of any scale, at least 8 by 8.

    Raises
    ------
    BadInputError
        If it is not such an array, or black throughout.
    """
    image = np.asarray(grey, dtype=np.float64)
    if image.ndim != 2 or min(image.shape) < 8:
        raise bad_input("photograph", f"its shape is {image.shape}", "give a grey photograph of 8 x 8 or more")
    brightness = float(image.mean())
    if not brightness > 0:
        raise bad_input("photograph", "it is black throughout", "light the target and expose longer")
    gradient = scipy.ndimage.gaussian_gradient_magnitude(image, 1.0)
    return float(np.mean(gradient**2)) / brightness**2


def sharpness_peak(*, settings: Sequence[float], sharpness: Sequence[float], unit: str = "mm") -> SharpnessPeak:
    """Return the setting at which a series is sharpest.

    A curve B + A / (1 + ((x - x0) / w)²) is fitted with a loss that lets a spoilt photograph count little
    (``scipy.optimize.least_squares``, soft L1). The sharpest photographs count a little
    less, since their sharpness scatters most. The form is that of the gradient energy of an edge whose blur
    grows straight with the defocus, squared; any symmetric curve has the same peak. The uncertainty is from the
    scatter about the curve, with n - 4 degrees of freedom, and a twentieth of the step between photographs for
    the form of the curve. A lens whose blur differs before and behind the focus (much spherical aberration, wide
    open) shifts the peak by more than that: it is not counted.

    Parameters
    ----------
    settings, sharpness : sequence of float
        As many of each, at least six different settings.
    unit : str
        Of the settings.

    Raises
    ------
    BadInputError
        If there are too few photographs, no peak stands out of their scatter, or it lies outside the series: the
        message says which way to go on.
    """
    if len(settings) != len(sharpness):
        what = f"{len(settings)} settings for {len(sharpness)} photographs"
        raise bad_input("photographs", what, "name the setting of each photograph")
    order = np.argsort(np.asarray(settings, dtype=float), kind="stable")
    x = np.asarray(settings, dtype=float)[order]
    y = np.asarray(sharpness, dtype=float)[order]
    if not (np.isfinite(x).all() and np.isfinite(y).all()):
        raise bad_input("photographs", "a setting or a sharpness is not a number", "check the list")
    if len(np.unique(x)) < LEAST_PHOTOGRAPHS:
        what = f"{len(np.unique(x))} different settings are too few for a peak"
        raise bad_input("photographs", what, f"take at least {LEAST_PHOTOGRAPHS}, on both sides of the sharpest")
    if not np.ptp(y) > 0:
        raise bad_input("photographs", "all are equally sharp", "spread the settings further apart")
    _refuse_end(x, y, unit)
    fit = _fit(x, y)
    x0 = _unscale(float(fit.x[0]), x)
    fitted = _height(fit.x, x, x, y)
    fine = np.linspace(x[0], x[-1], CURVE_POINTS)
    if not x[0] < x0 < x[-1]:
        raise _outside(x, x0 > x[-1], unit)
    off = np.abs(y - fitted)
    spoilt = (off > 5 * 1.4826 * float(np.median(off))) & (off > 0.05 * np.ptp(y))
    _refuse_chance(y[~spoilt], fitted[~spoilt])
    return SharpnessPeak(
        peak=_reading(fit, x0, x, unit),
        settings=tuple(x.tolist()),
        sharpness=tuple(y.tolist()),
        fitted=tuple(fitted.tolist()),
        curve=tuple(zip(fine.tolist(), _height(fit.x, fine, x, y).tolist(), strict=True)),
        doubtful=tuple(x[spoilt].tolist()),
    )


def _refuse_end(x: Floats, y: Floats, unit: str) -> None:
    """Refuse a series still rising at an end: its two sharpest photographs are the last two there."""
    sharpest = set(np.argsort(y)[-2:].tolist())
    last = len(x) - 1
    if sharpest == {0, 1} or sharpest == {last - 1, last}:
        raise _outside(x, last in sharpest, unit)


def _refuse_chance(y: Floats, fitted: Floats) -> None:
    """Refuse a peak that scatter alone would show one time in a hundred or more (F test, three numbers)."""
    dof = len(y) - 4
    about_curve, about_mean = float(np.sum((y - fitted) ** 2)), float(np.sum((y - y.mean()) ** 2))
    if dof < 1 or about_curve == 0:
        return
    ratio = (about_mean - about_curve) / 3 / (about_curve / dof)
    if fdtrc(3, dof, ratio) > CHANCE:
        raise bad_input(
            "photographs",
            "no peak stands out of their scatter",
            "spread the settings further apart, hold the telephone still, or take more of them",
        )


def _outside(x: Floats, beyond: bool, unit: str) -> Exception:
    end = x[-1] if beyond else x[0]
    way = "upwards" if beyond else "downwards"
    return bad_input(
        "photographs",
        f"the sharpness still rises towards {end:g} {unit}, so its peak lies outside the series",
        f"go on {way} from {end:g} {unit} until it falls again",
    )


def _scaled(at: Floats, x: Floats) -> Floats:
    return np.asarray((at - (x[0] + x[-1]) / 2) / ((x[-1] - x[0]) / 2))


def _height(p: Floats, at: Floats, x: Floats, y: Floats) -> Floats:
    """Return the fitted curve in the series' own numbers."""
    return np.asarray(_curve(p, _scaled(at, x)) * np.ptp(y) + y.min())


def _unscale(value: float, x: Floats) -> float:
    return float((x[0] + x[-1]) / 2 + value * (x[-1] - x[0]) / 2)


def _curve(p: Floats, x: Floats) -> Floats:
    return np.asarray(p[2] + p[1] / (1 + ((x - p[0]) / p[3]) ** 2))


def _fit(x: Floats, y: Floats) -> "scipy.optimize.OptimizeResult":
    """Fit in scaled numbers from several widths, then once more with the weights that the curve gives.

    Shake and exposure scatter the sharpness in proportion to itself, so the sharpest photographs are the least
    certain ones.
    """
    xs, ys = _scaled(x, x), (y - y.min()) / np.ptp(y)
    start = float(xs[np.argmax(scipy.ndimage.median_filter(ys, 3, mode="nearest"))])
    alike = np.ones_like(xs)
    tries = [_least(xs, ys, np.array([start, 1.0, 0.0, width]), alike, _noise(ys)) for width in (0.2, 0.5, 1.0)]
    first = min(tries, key=lambda result: float(result.cost))
    scatter = FLOOR + (1 - FLOOR) * np.clip(_curve(first.x, xs), 0, None)
    scatter = scatter / np.median(scatter)
    missed = float(np.median(np.abs(_curve(first.x, xs) - ys) / scatter))
    noise = max(0.01, 1.5 * 1.4826 * missed * np.sqrt(len(xs) / (len(xs) - 4)))
    inside = np.clip(first.x, np.array(LOWEST) + 1e-3, np.array(HIGHEST) - 1e-3)
    return _least(xs, ys, inside, scatter, noise)


def _least(xs: Floats, ys: Floats, begin: Floats, scatter: Floats, noise: float) -> "scipy.optimize.OptimizeResult":
    def misses(p: Floats) -> Floats:
        return np.asarray((_curve(p, xs) - ys) / scatter)

    def slopes(p: Floats) -> Floats:
        away = (xs - p[0]) / p[3]
        bell = 1 / (1 + away**2)
        steep = 2 * p[1] * bell**2 * away / p[3]
        return np.column_stack([steep, bell, np.ones_like(xs), steep * away]) / scatter[:, None]

    return scipy.optimize.least_squares(
        misses, begin, jac=slopes, bounds=(LOWEST, HIGHEST), loss="soft_l1", f_scale=noise
    )


def _noise(ys: Floats) -> float:
    """Return the noise by the second differences of neighbours: a peak disturbs only a few of them."""
    second = np.diff(ys, 2) / np.sqrt(6)
    return max(0.01, 1.4826 * float(np.median(np.abs(second))))


def _reading(fit: "scipy.optimize.OptimizeResult", x0: float, x: Floats, unit: str) -> Reading:
    weighted = fit.jac  # already weighted by the loss
    dof = len(x) - 4
    covariance = np.linalg.pinv(weighted.T @ weighted) * (2 * float(fit.cost) / dof)
    scatter = float(np.sqrt(covariance[0, 0]) * (x[-1] - x[0]) / 2)
    places = np.unique(x)
    after = min(max(int(np.searchsorted(places, x0)), 1), len(places) - 1)
    u = float(np.hypot(scatter, STEP_SHARE * (places[after] - places[after - 1])))
    return Reading(
        value=x0,
        unit=unit,
        standard_uncertainty=u,
        degrees_of_freedom=dof * (u / scatter) ** 4 if scatter > 0 else None,
        how=f"peak of sharpness over {len(x)} photographs",
    )
