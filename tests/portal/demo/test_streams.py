"""Named random streams and the draws made from them."""

from statistics import fmean, pvariance

import pytest

from portal.demo.streams import binomial, demo_id, dirichlet, multinomial, pick, poisson, stream


def test_stream_is_the_same_for_the_same_name_only() -> None:
    again = [stream(216, "QVD-A01", "visit").random() for _ in range(2)]
    others = [
        stream(217, "QVD-A01", "visit").random(),
        stream(216, "QVD-A02", "visit").random(),
        stream(216, "QVD-A01", "lawn", "pit").random(),
    ]

    assert again[0] == again[1]
    assert len({again[0], *others}) == 4


def test_poisson_has_mean_and_variance_of_its_parameter() -> None:
    rng = stream(1, "poisson")

    drawn = [poisson(rng, 6.0) for _ in range(4000)]

    # standard errors of mean and variance of 4000 Poisson numbers: 0.04 and 0.14
    assert fmean(drawn) == pytest.approx(6.0, abs=0.15)
    assert pvariance(drawn) == pytest.approx(6.0, abs=0.6)


def test_poisson_of_nothing_is_zero() -> None:
    assert poisson(stream(1, "none"), 0.0) == 0


def test_binomial_keeps_its_limits() -> None:
    rng = stream(1, "binomial")

    assert binomial(rng, 12, 0.0) == 0
    assert binomial(rng, 12, 1.0) == 12


def test_dirichlet_shares_sum_to_one() -> None:
    shares = dirichlet(stream(1, "dirichlet"), [1.8, 8.4, 1.8])

    assert sum(shares) == pytest.approx(1.0)
    assert min(shares) > 0


def test_multinomial_gives_every_trial_away() -> None:
    found = multinomial(stream(1, "multinomial"), 50, [0.7, 0.3, 0.0])

    assert sum(found) == 50
    assert found[2] == 0


def test_pick_follows_the_shares() -> None:
    rng = stream(1, "pick")

    drawn = [pick(rng, {"loam": 0.8, "sand": 0.2}) for _ in range(2000)]

    assert drawn.count("loam") / 2000 == pytest.approx(0.8, abs=0.04)


def test_demo_id_depends_on_seed_and_key() -> None:
    assert demo_id(318, "visit QVD/QVD-A01") == demo_id(318, "visit QVD/QVD-A01")
    assert demo_id(318, "visit QVD/QVD-A01") != demo_id(319, "visit QVD/QVD-A01")
