"""What makes a range wide, on cases whose shares are known."""

from __future__ import annotations

import numpy as np
import pytest

from tanwright.science.belief.causes import shares_of_variance
from tanwright.science.belief.unknowns import Unknown, draw


def worlds(count: int = 2000, size: int = 4) -> np.ndarray:
    one = Unknown("x", "x", 0.0, 1.0, "linear", "", ("invented",))
    return draw(count, [one] * size, np.random.default_rng(0))


@pytest.mark.parametrize("scale", ["rank", "log", "plain"])
def test_an_additive_case_gives_its_shares(scale: str) -> None:
    z = worlds()
    logs = z @ np.array([0.6, 0.3, 0.2, 0.0])
    target = logs if scale == "plain" else np.exp(logs)
    found = shares_of_variance(z, target, scale=scale)  # type: ignore[arg-type]
    assert np.allclose(found.share, np.array([0.36, 0.09, 0.04, 0.0]) / 0.49, atol=0.03)
    assert found.share.sum() + found.together == pytest.approx(1.0)
    assert found.together < 0.02
    assert found.largest(["a", "b", "c", "d"], 2)[0][0] == "a"


def test_joint_influence_is_told_as_together() -> None:
    z = worlds()
    found = shares_of_variance(z, z[:, 0] * z[:, 1], scale="plain")
    assert found.together > 0.95


def test_unknowns_that_readings_tied_together_share_fairly() -> None:
    """Two unknowns of equal slope and correlation 0.8 have equal shares that sum to all."""
    rng = np.random.default_rng(1)
    z = rng.multivariate_normal([0.0, 0.0], [[1.0, 0.8], [0.8, 1.0]], 4000)
    found = shares_of_variance(z, z.sum(axis=1), scale="plain")
    assert np.allclose(found.share, 0.5, atol=0.02)


def test_infinite_finish_days_are_taken_by_rank() -> None:
    z = worlds()
    day = np.where(z[:, 0] > 1.0, np.inf, np.exp(z[:, 0] + 0.1 * z[:, 1]))
    found = shares_of_variance(z, day)
    assert found.share[0] > 0.85
    with pytest.raises(ValueError, match="positive"):
        shares_of_variance(z, day, scale="log")


def test_a_target_that_does_not_vary_has_no_cause() -> None:
    found = shares_of_variance(worlds(), np.ones(2000), scale="log")
    assert found.share.sum() == 0.0
    assert found.together == 1.0


def test_an_unknown_that_does_not_move_has_no_share() -> None:
    z = worlds()
    z[:, 2] = 0.4
    assert shares_of_variance(z, z[:, 0], scale="plain").share[2] == 0.0


def test_more_worlds_than_unknowns_are_needed() -> None:
    with pytest.raises(ValueError, match="more worlds"):
        shares_of_variance(worlds(5), np.arange(5.0))
