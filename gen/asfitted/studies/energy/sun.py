"""The sun on an array: geometry, what lies above the atmosphere, how a day's sum spreads over the minutes and a tilt.

All in solar time, noon at 12:00. Daily sums in kWh/m², irradiance in W/m², angles in degrees, bearings from north.
"""

import math

import numpy as np
from numpy.typing import NDArray

from asfitted.tables.energy import default

Series = NDArray[np.float64]
#: FAO 56 eq. 21: 0.0820 MJ/m² each minute
SOLAR_CONSTANT_W_M2 = 0.0820e6 / 60
MINUTES = 1440
LOWEST_BEAM = math.sin(math.radians(3))
#: the day of each month whose sun is nearest to the mean of the month (Klein 1977, from memory)
TYPICAL_DAY = (17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344)


def declination_rad(day: int) -> float:
    """Return the declination of the sun on a day of the year (FAO 56 eq. 24)."""
    return 0.409 * math.sin(2 * math.pi / 365 * day - 1.39)


def distance_factor(day: int) -> float:
    """Return the inverse relative distance between earth and sun (FAO 56 eq. 23)."""
    return 1 + 0.033 * math.cos(2 * math.pi / 365 * day)


def sunset_rad(latitude_deg: float, day: int) -> float:
    """Return the hour angle of sunset (FAO 56 eq. 25); 0 in polar night, π in polar day."""
    cosine = -math.tan(math.radians(latitude_deg)) * math.tan(declination_rad(day))
    return math.acos(min(1.0, max(-1.0, cosine)))


def above_atmosphere_kwh_m2(latitude_deg: float, day: int) -> float:
    """Return the daily sum on the horizontal above the atmosphere (FAO 56 eq. 21)."""
    phi, delta, ws = math.radians(latitude_deg), declination_rad(day), sunset_rad(latitude_deg, day)
    geometry = ws * math.sin(phi) * math.sin(delta) + math.cos(phi) * math.cos(delta) * math.sin(ws)
    return 24 / math.pi * SOLAR_CONSTANT_W_M2 / 1000 * distance_factor(day) * geometry


def diffuse_share(clearness: float, sunset: float) -> float:
    """Return the diffuse share of a month's mean daily sum, from its clearness and the hour angle of sunset.

    Erbs, Klein and Duffie 1982 (from memory): two cubics, for short days and for long ones; held at their ends.
    """
    k = min(0.8, max(0.3, clearness))
    if sunset <= math.radians(81.4):
        return 1.391 - 3.560 * k + 4.189 * k**2 - 2.137 * k**3
    return 1.311 - 3.022 * k + 3.427 * k**2 - 1.821 * k**3


def profile_w_m2(
    daily_kwh_m2: float, latitude_deg: float, day: int, tilt_deg: float = 0.0, faces_deg: float = 180.0
) -> Series:
    """Return the irradiance on a tilted plane, minute by minute, for a daily sum on the horizontal.

    The sum spreads as the sun above the atmosphere does; sky and ground are taken as equally bright all over
    (isotropic model of Liu and Jordan), which gives a steep array somewhat too little.
    """
    cosine = _cos_zenith(latitude_deg, day)
    lit = np.maximum(cosine, 0.0)
    total = lit.sum() / 60 / 1000
    if total <= 0 or daily_kwh_m2 <= 0:
        return np.zeros(MINUTES)
    horizontal = daily_kwh_m2 / total * lit
    clearness = daily_kwh_m2 / above_atmosphere_kwh_m2(latitude_deg, day)
    share = diffuse_share(clearness, sunset_rad(latitude_deg, day))
    # near sunrise the ratio of the two cosines grows without end, and what beam there is comes through much air:
    # the light of the lowest degrees counts as diffuse
    high = cosine > LOWEST_BEAM
    diffuse = horizontal * np.where(high, share, 1.0)
    incidence = np.maximum(_cos_incidence(latitude_deg, day, tilt_deg, faces_deg), 0.0)
    ratio = incidence / np.maximum(cosine, LOWEST_BEAM)
    tilted = math.cos(math.radians(tilt_deg))
    ground = horizontal * default("ground reflects").value * (1 - tilted) / 2
    plane: Series = (horizontal - diffuse) * ratio + diffuse * (1 + tilted) / 2 + ground
    return plane


def arch_w_m2(daily_kwh_m2: float) -> Series:
    """Return a half wave around noon with the given daily sum, for a place of which no latitude is known."""
    half = default("day length").value / 2
    hour = _hours() - 12
    shape = np.where(np.abs(hour) < half, np.cos(hour / half * math.pi / 2), 0.0)
    arch: Series = shape * (daily_kwh_m2 * 1000 * 60 / shape.sum())
    return arch


def _hours() -> Series:
    return (np.arange(MINUTES) + 0.5) / 60


def _angles(latitude_deg: float, day: int) -> tuple[float, float, Series]:
    return math.radians(latitude_deg), declination_rad(day), (_hours() - 12) * math.pi / 12


def _cos_zenith(latitude_deg: float, day: int) -> Series:
    phi, delta, hour = _angles(latitude_deg, day)
    cosine: Series = math.sin(phi) * math.sin(delta) + math.cos(phi) * math.cos(delta) * np.cos(hour)
    return cosine


def _cos_incidence(latitude_deg: float, day: int, tilt_deg: float, faces_deg: float) -> Series:
    """Return the cosine of the angle between the sun and the normal of a plane, from their components east, north, up."""
    phi, delta, hour = _angles(latitude_deg, day)
    east = -math.cos(delta) * np.sin(hour)
    north = math.sin(delta) * math.cos(phi) - math.cos(delta) * math.sin(phi) * np.cos(hour)
    tilt, bearing = math.radians(tilt_deg), math.radians(faces_deg)
    cosine: Series = (
        east * math.sin(tilt) * math.sin(bearing)
        + north * math.sin(tilt) * math.cos(bearing)
        + _cos_zenith(latitude_deg, day) * math.cos(tilt)
    )
    return cosine
