"""The sun on an array: sums, symmetries, and an independent library where it is installed."""

import math

import numpy as np
import pytest

from asfitted.studies.energy import sun


@pytest.mark.parametrize("latitude", [-45, 0, 35, 52, 60])
@pytest.mark.parametrize("day", [17, 105, 198, 344])
def test_the_sum_of_a_flat_array_is_that_of_the_horizontal(latitude, day):
    assert sun.profile_w_m2(2.5, latitude, day).sum() / 60_000 == pytest.approx(2.5, rel=1e-6)


@pytest.mark.parametrize("latitude", [-45, 0, 35, 52, 60])
@pytest.mark.parametrize("day", [17, 105, 198, 344])
def test_minutes_of_sun_add_up_to_the_closed_form(latitude, day):
    """FAO 56 eq. 21 against the sum of what each minute lets through."""
    cosine = np.maximum(sun._cos_zenith(latitude, day), 0)
    summed = cosine.sum() / 60 * sun.SOLAR_CONSTANT_W_M2 / 1000 * sun.distance_factor(day)
    assert summed == pytest.approx(sun.above_atmosphere_kwh_m2(latitude, day), rel=2e-4)


def test_beam_on_a_tilt_towards_the_equator_is_the_ratio_of_liu_and_jordan():
    """R_b of a plane at latitude φ tilted by β equals that of the horizontal at φ − β (Liu and Jordan 1962)."""
    phi, beta, day = 40.0, 25.0, 75
    delta = sun.declination_rad(day)
    hour = math.radians(30)
    minute = 14 * 60  # 30° after noon, in the middle of that minute
    cosine = sun._cos_incidence(phi, day, beta, 180.0)
    less = math.radians(phi - beta)
    at = (minute + 0.5) / 60
    hour = (at - 12) * math.pi / 12
    expected = math.cos(less) * math.cos(delta) * math.cos(hour) + math.sin(less) * math.sin(delta)
    assert cosine[minute] == pytest.approx(expected, rel=1e-9)


def test_east_sees_the_morning_and_west_the_evening():
    east, west = (sun.profile_w_m2(4, 50, 105, 60, bearing) for bearing in (90, 270))
    assert east == pytest.approx(west[::-1], abs=1e-6)
    assert east[: 12 * 60].sum() > 2 * east[12 * 60 :].sum()


def test_polar_night_brings_nothing():
    assert sun.profile_w_m2(0.5, 66, 355 - 5, 30).sum() >= 0
    assert not sun.profile_w_m2(0.0, 52, 17).any()


def test_an_arch_without_a_latitude_has_its_sum():
    assert sun.arch_w_m2(2.8).sum() / 60_000 == pytest.approx(2.8)


@pytest.mark.parametrize(
    ("latitude", "day", "tilt", "bearing", "daily"),
    [(52, 105, 30, 180, 3.5), (52, 344, 60, 180, 0.5), (52, 162, 30, 90, 5), (40, 17, 45, 225, 1.8)],
)
def test_pvlib_finds_the_same_on_a_tilted_plane(latitude, day, tilt, bearing, daily):
    """pvlib's isotropic model, fed with the same split of beam and diffuse."""
    pvlib = pytest.importorskip("pvlib", reason="pvlib is not installed")
    cosine = sun._cos_zenith(latitude, day)
    zenith = np.degrees(np.arccos(cosine))
    hour = np.radians((sun._hours() - 12) * 15)
    azimuth = np.degrees(
        pvlib.solarposition.solar_azimuth_analytical(
            math.radians(latitude), hour, sun.declination_rad(day), np.radians(zenith)
        )
    )
    flat = sun.profile_w_m2(daily, latitude, day)
    clearness = daily / sun.above_atmosphere_kwh_m2(latitude, day)
    low = cosine <= sun.LOWEST_BEAM
    diffuse = flat * np.where(low, 1, sun.diffuse_share(clearness, sun.sunset_rad(latitude, day)))
    beam = np.where(low, 0, (flat - diffuse) / np.maximum(cosine, sun.LOWEST_BEAM))
    theirs = pvlib.irradiance.get_total_irradiance(
        tilt, bearing, zenith, azimuth, beam, flat, diffuse, albedo=0.2, model="isotropic"
    )["poa_global"]
    ours = sun.profile_w_m2(daily, latitude, day, tilt, bearing)
    assert ours.sum() == pytest.approx(float(np.nansum(theirs)), rel=2e-3)


@pytest.mark.parametrize(("latitude", "day"), [(70, 344), (-70, 162), (90, 17)])
def test_in_polar_night_there_is_no_sun(latitude, day):
    """FAO 56 eq. 25 with its cosine above 1: the sun does not rise."""
    assert sun.sunset_rad(latitude, day) == 0
    assert sun.above_atmosphere_kwh_m2(latitude, day) == pytest.approx(0, abs=1e-9)
    assert not sun.profile_w_m2(0.4, latitude, day, 30).any()


@pytest.mark.parametrize(("latitude", "day"), [(70, 162), (-75, 344), (90, 162)])
def test_in_polar_day_the_sun_does_not_set(latitude, day):
    assert sun.sunset_rad(latitude, day) == pytest.approx(math.pi)
    flat = sun.profile_w_m2(6.0, latitude, day)
    assert flat.min() > 0 or latitude == 90
    assert flat.sum() / 60_000 == pytest.approx(6.0, rel=1e-6)
    cosine = np.maximum(sun._cos_zenith(latitude, day), 0)
    summed = cosine.sum() / 60 * sun.SOLAR_CONSTANT_W_M2 / 1000 * sun.distance_factor(day)
    assert summed == pytest.approx(sun.above_atmosphere_kwh_m2(latitude, day), rel=2e-4)
