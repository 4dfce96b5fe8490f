"""How a reading scatters about what the model predicts for it: one frozen record per kind.

Each kind knows a transformed scale on which its error is near to normal, the density of an
observed value given a prediction, and how to draw a reading.  The density is a mixture: with the
small chance ``outlier_share`` the reading is a slip (a typo, the wrong vat) and says next to
nothing, so that no single reading can drag everything.

Part of the error belongs to the instrument and is the same every time it is used (``shared_sd``,
in the transformed scale).  :meth:`AmountNoise.alone` folds it into the scatter when an instrument
speaks only once; :mod:`tanwright.science.belief.updating` carries it as an extra unknown when it
speaks more often.

Equations and the ground of every number: docs/method/belief.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from tanwright.errors import InputError
from tanwright.science.belief.unknowns import Floats

_ROOT_TWO_PI = math.sqrt(2.0 * math.pi)


class Noise(Protocol):
    """What updating and measuring-next need of a kind of reading.

    ``observed`` and ``predicted`` are in the reading's own unit and broadcast together.
    """

    @property
    def name(self) -> str:
        """The kind of reading in plain words."""
        ...

    @property
    def shared_sd(self) -> float:
        """Error that every reading of one instrument shares, in the transformed scale."""
        ...

    def density(self, observed: Floats | float, predicted: Floats) -> Floats:
        """Density of a reading, up to a factor that depends on ``observed`` only."""
        ...

    def slip_probability(self, observed: Floats | float, predicted: Floats) -> Floats:
        """Probability that a reading is a slip, given the prediction."""
        ...

    def below(self, observed: float, predicted: Floats) -> Floats:
        """Probability that an honest reading would lie below ``observed`` (half of a tie)."""
        ...

    def honest(self, predicted: Floats, by: Floats) -> Floats:
        """The honest reading whose error is ``by`` standard deviations; broadcasts."""
        ...

    def draw(self, predicted: Floats, rng: np.random.Generator, *, honest: bool = False) -> Floats:
        """One reading per prediction; ``honest`` leaves the slips out."""
        ...

    def transform(self, predicted: Floats | float) -> Floats:
        """Prediction in the scale of the linear stage."""
        ...

    def datum(self, observed: float) -> tuple[float, float]:
        """Observed value and its sd in the scale of the linear stage."""
        ...

    def shifted(self, predicted: Floats, by: Floats) -> Floats:
        """Prediction as an instrument sees it whose error is ``by`` times ``shared_sd``."""
        ...

    def alone(self) -> Noise:
        """The same kind for an instrument that speaks once: shared error in the scatter."""
        ...

    def far_off(self, observed: float, low: float, high: float) -> bool:
        """Is the reading beyond anything but a slip, for predictions from low to high?"""
        ...


def log_density(noise: Noise, observed: Floats | float, predicted: Floats) -> Floats:
    """Logarithm of :meth:`Noise.density`; finite, because a slip is always possible."""
    return np.asarray(np.log(noise.density(observed, predicted)))


@dataclass(frozen=True)
class AmountNoise:
    """A positive amount: strength, solids, weight, days.

    log(reading + c) = log(prediction + c) + sd * normal, with c = sd_at_zero / sd: the error is
    ``sd_at_zero`` for a very small amount and grows by ``sd`` per unit of amount.  A slip has the
    same centre, Student's t with 2 degrees of freedom and the scale ``slip_spread``.

    Attributes
    ----------
    name, unit:
        Kind in plain words and the unit of predictions and readings.
    sd:
        Relative standard deviation of a large amount.
    sd_at_zero:
        Standard deviation of a vanishing amount, in ``unit``; 0 for a purely relative error.
    shared_sd:
        Part of the error that an instrument repeats, in the transformed scale.
    """

    name: str
    unit: str
    sd: float
    sd_at_zero: float = 0.0
    shared_sd: float = 0.0
    outlier_share: float = 0.02
    slip_spread: float = 0.7

    def __post_init__(self) -> None:
        if self.sd <= 0.0 or self.sd_at_zero < 0.0:
            raise ValueError(f"{self.name}: sd must be positive")

    @property
    def offset(self) -> float:
        """c in ``unit``."""
        return self.sd_at_zero / self.sd

    def transform(self, predicted: Floats | float) -> Floats:
        """log(amount + c); amounts at or below -c are taken as next to nothing."""
        return np.asarray(np.log(np.maximum(np.asarray(predicted) + self.offset, 1e-9)))

    def datum(self, observed: float) -> tuple[float, float]:
        """Observed value and sd in the transformed scale."""
        return float(self.transform(observed)), self.sd

    def _error(self, observed: Floats | float, predicted: Floats) -> Floats:
        return self.transform(observed) - self.transform(predicted)

    def _parts(self, observed: Floats | float, predicted: Floats) -> tuple[Floats, Floats]:
        error = self._error(observed, predicted)
        honest = np.exp(-0.5 * (error / self.sd) ** 2) / (self.sd * _ROOT_TWO_PI)
        ratio = error / self.slip_spread
        slip = (2.0 + ratio * ratio) ** -1.5 / self.slip_spread
        return (1.0 - self.outlier_share) * honest, self.outlier_share * slip

    def density(self, observed: Floats | float, predicted: Floats) -> Floats:
        """Density in the transformed scale, honest readings and slips together."""
        honest, slip = self._parts(observed, predicted)
        return honest + slip

    def slip_probability(self, observed: Floats | float, predicted: Floats) -> Floats:
        """Probability that the reading is a slip, given the prediction."""
        honest, slip = self._parts(observed, predicted)
        return slip / (honest + slip)

    def below(self, observed: float, predicted: Floats) -> Floats:
        """Probability that an honest reading would lie below ``observed``."""
        from scipy.special import ndtr

        return np.asarray(ndtr(self._error(observed, predicted) / self.sd))

    def honest(self, predicted: Floats, by: Floats) -> Floats:
        """The reading that is ``by`` sds off, in ``unit``; may fall a little below zero."""
        return np.asarray(np.exp(self.transform(predicted) + self.sd * by) - self.offset)

    def draw(self, predicted: Floats, rng: np.random.Generator, *, honest: bool = False) -> Floats:
        """One reading per prediction, in ``unit``."""
        by = rng.standard_normal(np.shape(predicted))
        if not honest:
            slip = rng.random(np.shape(predicted)) < self.outlier_share
            wild = self.slip_spread * rng.standard_t(2.0, np.shape(predicted))
            by = np.where(slip, np.clip(wild, -20.0, 20.0) / self.sd, by)
        return self.honest(predicted, by)

    def shifted(self, predicted: Floats, by: Floats) -> Floats:
        """Prediction as an instrument sees it that is ``by`` shared sds off."""
        return np.asarray(np.exp(self.transform(predicted) + self.shared_sd * by) - self.offset)

    def alone(self) -> AmountNoise:
        """Shared error folded into the scatter; the transformed scale stays the same."""
        sd = math.hypot(self.sd, self.shared_sd)
        return replace(self, sd=sd, sd_at_zero=self.offset * sd, shared_sd=0.0)

    def far_off(self, observed: float, low: float, high: float) -> bool:
        """Three times above the highest, or below a third of the lowest plausible reading."""
        return observed > 3.0 * max(high, 0.0) or observed < low / 3.0


@dataclass(frozen=True)
class CutNoise:
    """The share of the thickness that looks struck through at a cut, 0 to 1.

    Normal about the prediction with sd = end_sd + 4 (middle_sd - end_sd) p (1 - p); at or above
    ``through`` it is called struck through, at or below ``nothing`` raw, so both ends are
    censored.  A slip is anything from 0 to 1.
    """

    name: str
    middle_sd: float
    end_sd: float
    outlier_share: float = 0.02
    through: float = 0.97
    nothing: float = 0.03
    shared_sd: float = 0.0

    def _sd(self, predicted: Floats | float) -> Floats:
        p = np.clip(predicted, 0.0, 1.0)
        return np.asarray(self.end_sd + 4.0 * (self.middle_sd - self.end_sd) * p * (1.0 - p))

    def transform(self, predicted: Floats | float) -> Floats:
        """Log-odds, the share held between 0.02 and 0.98."""
        p = np.clip(predicted, 0.02, 0.98)
        return np.asarray(np.log(p / (1.0 - p)))

    def datum(self, observed: float) -> tuple[float, float]:
        """Observed log-odds and sd; wide (about 1) at both censored ends."""
        p = float(np.clip(observed, 0.02, 0.98))
        return float(self.transform(p)), float(self._sd(p)) / (p * (1.0 - p))

    def _parts(self, observed: Floats | float, predicted: Floats) -> tuple[Floats, Floats]:
        from scipy.special import ndtr

        y, p = np.broadcast_arrays(
            np.asarray(observed, dtype=float), np.asarray(predicted, dtype=float)
        )
        sd = self._sd(p)
        top, bottom = y >= self.through, y <= self.nothing
        honest = np.exp(-0.5 * ((y - p) / sd) ** 2) / (sd * _ROOT_TWO_PI)
        slip = np.ones_like(honest)
        if np.any(top):
            honest = np.where(top, ndtr((p - self.through) / sd), honest)
            slip = np.where(top, 1.0 - self.through, slip)
        if np.any(bottom):
            honest = np.where(bottom, ndtr((self.nothing - p) / sd), honest)
            slip = np.where(bottom, self.nothing, slip)
        return (1.0 - self.outlier_share) * honest, self.outlier_share * slip

    def density(self, observed: Floats | float, predicted: Floats) -> Floats:
        """Density between the ends, probability at the two censored ends."""
        honest, slip = self._parts(observed, predicted)
        return honest + slip

    def slip_probability(self, observed: Floats | float, predicted: Floats) -> Floats:
        """Probability that the reading is a slip, given the prediction."""
        honest, slip = self._parts(observed, predicted)
        return slip / (honest + slip)

    def below(self, observed: float, predicted: Floats) -> Floats:
        """Probability of a smaller honest reading; half of the ties at the ends."""
        from scipy.special import ndtr

        p, sd = np.asarray(predicted, dtype=float), self._sd(predicted)
        if observed >= self.through:
            return np.asarray(1.0 - 0.5 * ndtr((p - self.through) / sd))
        if observed <= self.nothing:
            return np.asarray(0.5 * ndtr((self.nothing - p) / sd))
        return np.asarray(ndtr((observed - p) / sd))

    def _told(self, seen: Floats) -> Floats:
        """What is written down: 0 and 1 at the censored ends."""
        ends = np.where(seen <= self.nothing, 0.0, seen)
        return np.asarray(np.where(seen >= self.through, 1.0, ends))

    def honest(self, predicted: Floats, by: Floats) -> Floats:
        """The reading that is ``by`` sds off; the censored ends are written as 0 and 1."""
        return self._told(predicted + self._sd(predicted) * by)

    def draw(self, predicted: Floats, rng: np.random.Generator, *, honest: bool = False) -> Floats:
        """One reading per prediction."""
        told = self.honest(predicted, rng.standard_normal(np.shape(predicted)))
        if not honest:
            slip = rng.random(np.shape(predicted)) < self.outlier_share
            told = np.where(slip, self._told(rng.random(np.shape(predicted))), told)
        return told

    def shifted(self, predicted: Floats, by: Floats) -> Floats:
        """The prediction itself: an eye's error at a cut is not carried along."""
        return predicted

    def alone(self) -> CutNoise:
        """The same record: nothing is shared."""
        return self

    def far_off(self, observed: float, low: float, high: float) -> bool:
        """More than half of the thickness outside of what is plausible."""
        return observed > high + 0.5 or observed < low - 0.5


@dataclass(frozen=True)
class LooksNoise:
    """How a liquor looks, in ordered words; predictions are strengths in °Bk.

    The eye sees log(strength) with the error ``sd``; ``cuts_bk`` are the strengths where one word
    gives way to the next (ordered probit).  A slip is any word.  A reading is the number of the
    word, 0 for the palest.
    """

    name: str
    words: tuple[str, ...]
    cuts_bk: tuple[float, ...]
    sd: float
    shared_sd: float = 0.0
    outlier_share: float = 0.02

    def __post_init__(self) -> None:
        if len(self.cuts_bk) != len(self.words) - 1 or list(self.cuts_bk) != sorted(self.cuts_bk):
            raise ValueError(f"{self.name}: one rising cut point between each two words")

    def number(self, word: str) -> float:
        """Number of a word. Raises InputError naming the words there are."""
        plain = " ".join(word.lower().replace("-", " ").replace("_", " ").split())
        if plain not in self.words:
            raise InputError(
                f'"{word}" is not a look of a liquor',
                remedy=f"write one of: {', '.join(self.words)}",
            )
        return float(self.words.index(plain))

    def word(self, strength_bk: float) -> str:
        """The most likely word for a strength in °Bk."""
        return self.words[int(np.searchsorted(self.cuts_bk, strength_bk, side="right"))]

    def transform(self, predicted: Floats | float) -> Floats:
        """Logarithm; amounts below a twentieth of the first cut point are held there."""
        return np.asarray(np.log(np.maximum(predicted, 0.05 * self.cuts_bk[0])))

    def _edges(self) -> Floats:
        return np.concatenate([[-np.inf], np.log(self.cuts_bk), [np.inf]])

    def datum(self, observed: float) -> tuple[float, float]:
        """Middle of the word's interval; the end words reach half as far as their neighbour."""
        cuts = np.log(self.cuts_bk)
        step = float(np.mean(np.diff(cuts))) if len(cuts) > 1 else 0.7
        middles = np.concatenate([[cuts[0] - step / 2], cuts + step / 2])
        return float(middles[int(observed)]), math.hypot(self.sd, step / math.sqrt(12.0))

    def _parts(self, observed: Floats | float, predicted: Floats) -> tuple[Floats, Floats]:
        from scipy.special import ndtr

        number = np.asarray(observed).astype(np.intp)
        edges, seen = self._edges(), self.transform(predicted)
        honest = ndtr((edges[number + 1] - seen) / self.sd) - ndtr((edges[number] - seen) / self.sd)
        slip = np.full_like(honest, 1.0 / len(self.words))
        return (1.0 - self.outlier_share) * honest, self.outlier_share * slip

    def density(self, observed: Floats | float, predicted: Floats) -> Floats:
        """Probability of the word."""
        honest, slip = self._parts(observed, predicted)
        return honest + slip

    def slip_probability(self, observed: Floats | float, predicted: Floats) -> Floats:
        """Probability that the word is a slip, given the strength."""
        honest, slip = self._parts(observed, predicted)
        return slip / (honest + slip)

    def below(self, observed: float, predicted: Floats) -> Floats:
        """Probability of a paler word, and half of that of the same word."""
        from scipy.special import ndtr

        edges, seen, number = self._edges(), self.transform(predicted), int(observed)
        under = ndtr((edges[number] - seen) / self.sd)
        upto = ndtr((edges[number + 1] - seen) / self.sd)
        return np.asarray(0.5 * (under + upto))

    def honest(self, predicted: Floats, by: Floats) -> Floats:
        """Number of the word that an eye ``by`` sds off would say."""
        seen = self.transform(predicted) + self.sd * by
        return np.searchsorted(np.log(self.cuts_bk), seen).astype(float)

    def draw(self, predicted: Floats, rng: np.random.Generator, *, honest: bool = False) -> Floats:
        """One word's number per strength."""
        number = self.honest(predicted, rng.standard_normal(np.shape(predicted)))
        if not honest:
            slip = rng.random(np.shape(predicted)) < self.outlier_share
            any_word = rng.integers(0, len(self.words), np.shape(predicted))
            number = np.where(slip, any_word, number)
        return np.asarray(number)

    def shifted(self, predicted: Floats, by: Floats) -> Floats:
        """Strength as an eye sees it that is ``by`` shared sds off."""
        return np.asarray(np.exp(self.transform(predicted) + self.shared_sd * by))

    def alone(self) -> LooksNoise:
        """Shared error folded into the scatter."""
        return replace(self, sd=math.hypot(self.sd, self.shared_sd), shared_sd=0.0)

    def far_off(self, observed: float, low: float, high: float) -> bool:
        """Three words or more outside of what is plausible (low, high are word numbers)."""
        return observed >= high + 3.0 or observed <= low - 3.0
