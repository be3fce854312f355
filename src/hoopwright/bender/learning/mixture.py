"""Mixtures of normal distributions: what is left of a linear fit once its unknown scatter is averaged out."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

Vector = NDArray[np.float64]
_HALVINGS = 60


@dataclass(frozen=True, kw_only=True, eq=False)
class Mixture:
    """Normal distributions with weights, over the last axis.

    With the weights of an inverse-gamma scatter it is Student's t, up to the fineness of the nodes.

    Args:
        weights: Shape (..., K), each sum 1; may be broadcast.
        means: Shape (..., K).
        sds: Shape (..., K), above 0.
    """

    weights: Vector
    means: Vector
    sds: Vector

    def mean(self) -> Vector:
        """Mean, shape (...)."""
        mean: Vector = np.sum(self.weights * self.means, axis=-1)
        return mean

    def sd(self) -> Vector:
        """Standard deviation, shape (...)."""
        off = self.means - self.mean()[..., None]
        sd: Vector = np.sqrt(np.sum(self.weights * (self.sds**2 + off**2), axis=-1))
        return sd

    def below(self, values: Vector | float) -> Vector:
        """Probability of less than each value, shape (...)."""
        scores = (np.asarray(values)[..., None] - self.means) / self.sds
        share: Vector = np.sum(self.weights * ndtr(scores), axis=-1)
        return share

    def quantile(self, share: float) -> Vector:
        """The value with that probability below it, shape (...); found by halving."""
        low = np.min(self.means - 12.0 * self.sds, axis=-1)
        high = np.max(self.means + 12.0 * self.sds, axis=-1)
        for _ in range(_HALVINGS):
            middle = (low + high) / 2.0
            less = self.below(middle) < share
            low, high = np.where(less, middle, low), np.where(less, high, middle)
        return np.asarray((low + high) / 2.0)


def log_normal(values: Vector, means: Vector, sds: Vector) -> Vector:
    """Logarithm of the normal density."""
    density: Vector = -0.5 * ((values - means) / sds) ** 2 - np.log(sds) - 0.5 * np.log(2.0 * np.pi)
    return density


def weights_of(log_weights: Vector) -> Vector:
    """Weights of sum 1 over the last axis from their logarithms."""
    raised = np.exp(log_weights - log_weights.max(axis=-1, keepdims=True))
    weights: Vector = raised / raised.sum(axis=-1, keepdims=True)
    return weights
