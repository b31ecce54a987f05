"""The count model, against published fits and against statsmodels."""

import math

import numpy as np
import pytest
from statsmodels.discrete.discrete_model import NegativeBinomial

from portal.statistics.negative_binomial import describe_clumping, fit, is_clumped
from portal.statistics.samples import PitSample
from tests.reference_tables import statistics_check

Z_95 = 1.959964


def from_frequencies(name: str, frequencies: dict[str, int]) -> PitSample:
    counts = tuple(int(count) for count, times in frequencies.items() for _ in range(times))
    return PitSample(name, counts, (1.0,) * len(counts))


@pytest.fixture
def cohorts() -> list[PitSample]:
    data = statistics_check("negative binomial rate ratio with exposure offset")["data"]
    groups = []
    for group in (1, 2, 3):
        mine = [index for index, value in enumerate(data["group"]) if value == group]
        counts = tuple(data["count"][index] for index in mine)
        groups.append(PitSample(f"{group}", counts, tuple(data["exposure"][i] for i in mine)))
    return groups


def test_fit_with_exposure_matches_published_coefficients(cohorts: list[PitSample]) -> None:
    # Rodriguez 1993 data as in the Stata manual: coefficients to 4 decimals, alpha to 3
    expected = statistics_check("negative binomial rate ratio with exposure offset")["published"]

    model = fit(cohorts)
    base, second, third = (math.log(rate) for rate in model.rates_per_m2)

    assert base == pytest.approx(expected["b0"], abs=5e-5)
    assert second - base == pytest.approx(expected["b2"], abs=5e-5)
    assert third - base == pytest.approx(expected["b3"], abs=5e-5)
    assert model.alpha == pytest.approx(expected["alpha"], abs=5e-4)


def test_fit_with_exposure_matches_error_interval_and_likelihood(cohorts: list[PitSample]) -> None:
    expected = statistics_check("negative binomial rate ratio with exposure offset")["expected"]

    model = fit(cohorts)
    ratio = model.rates_per_m2[1] / model.rates_per_m2[0]
    error = math.hypot(*model.log_rate_errors[:2])
    interval = [ratio * math.exp(sign * Z_95 * error) for sign in (-1, 1)]

    assert error == pytest.approx(expected["se_b2"], abs=5e-5)
    assert interval == pytest.approx(expected["rate_ratio_2_to_1_ci95"], abs=5e-4)
    assert model.log_likelihood == pytest.approx(expected["loglik"], abs=5e-5)


def test_fit_to_mites_matches_bliss_and_fisher() -> None:
    check = statistics_check("negative binomial fit to clumped counts")
    mites = from_frequencies("leaf", check["data"]["frequency_of_count"])

    model, clumping = fit([mites]), describe_clumping(mites)

    assert clumping.k == pytest.approx(check["published"]["k_max_likelihood"], abs=5e-5)
    assert clumping.n_pits == check["expected"]["n"]
    assert clumping.mean_per_pit == pytest.approx(check["expected"]["mean"], abs=5e-7)
    assert clumping.variance_to_mean == pytest.approx(
        check["expected"]["variance_to_mean"], abs=5e-6
    )
    assert model.log_likelihood == pytest.approx(check["expected"]["loglik_negbin"], abs=5e-5)


def test_fit_to_two_treatments_matches_larva_counts() -> None:
    check = statistics_check("zero-heavy larva counts")
    frequencies = check["data"]["frequency_of_count"]
    plots = [from_frequencies(name, counts) for name, counts in frequencies.items()]

    model = fit(plots)

    ratio = model.rates_per_m2[1] / model.rates_per_m2[0]
    assert ratio == pytest.approx(check["expected"]["rate_ratio_T2_to_T1"], abs=5e-6)
    assert math.hypot(*model.log_rate_errors) == pytest.approx(
        check["expected"]["se_log_ratio_negbin"], abs=5e-5
    )
    assert model.alpha == pytest.approx(check["expected"]["alpha"], abs=5e-4)


@pytest.mark.filterwarnings("ignore::statsmodels.tools.sm_exceptions.ConvergenceWarning")
def test_fit_with_unequal_areas_agrees_with_statsmodels() -> None:
    counts = (3, 0, 12, 7, 1, 20, 5, 4, 9, 2)
    areas = (0.04, 0.0625, 0.04, 0.09, 0.04, 0.0625, 0.04, 0.25, 0.04, 0.0324)
    reference = NegativeBinomial(
        np.array(counts), np.ones((10, 1)), loglike_method="nb2", offset=np.log(areas)
    ).fit(disp=False, maxiter=500)

    model = fit([PitSample("lawn", counts, areas)])

    assert math.log(model.rates_per_m2[0]) == pytest.approx(reference.params[0], abs=1e-3)
    assert model.alpha == pytest.approx(reference.params[1], abs=1e-3)
    assert model.log_likelihood == pytest.approx(reference.llf, abs=1e-5)


def test_fit_of_even_counts_has_no_dispersion() -> None:
    even = PitSample("lawn", (5, 6, 5, 6, 5), (0.04,) * 5)

    assert fit([even]).alpha == 0
    assert not is_clumped(even)
    assert describe_clumping(even).k is None


def test_fit_refuses_a_sample_without_animals() -> None:
    with pytest.raises(ValueError, match=r"nothing was found: bog\."):
        fit([PitSample("lawn", (1, 2), (0.04, 0.04)), PitSample("bog", (0, 0), (0.04, 0.04))])


@pytest.mark.parametrize("counts", [(0, 0, 0), (7,)])
def test_clumping_is_unknown_without_animals_or_with_one_pit(counts: tuple[int, ...]) -> None:
    sample = PitSample("bog", counts, (0.04,) * len(counts))

    clumping = describe_clumping(sample)

    assert (clumping.variance_to_mean, clumping.k) == (None, None)
    assert not is_clumped(sample)
