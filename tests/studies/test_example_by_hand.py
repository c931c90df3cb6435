"""The example's currents, factors and drops against a calculation by hand, written out beside each figure.

Table values: IEC 60364-5-52:2009 B.52.2 (PVC, method C, 2.5 mm²: 27 A), B.52.14 (40 °C: 0.87; 60 °C: 0.50; 90 °C
insulation at 40 °C: 0.91), B.52.17 (single layer, two circuits: 0.85); BS 7671 4F3A (2.5 mm² flexible: 25 A) and 4B1
(60 °C rubber at 40 °C: 0.82); IEC 60228 class 5, taken where the description does not say (2.5 mm²: 7.98, 4 mm²: 4.95,
16 mm²: 1.21, 50 mm²: 0.386 ohm/km).
"""

import pytest

from tests.studies.builds import studied


@pytest.fixture(scope="module")
def sizing():
    return studied().sizing


@pytest.mark.parametrize(
    ("cable", "current_a"),
    [
        # kettle 1000 W ÷ 230 V
        ("W13", 4.348),
        # projector and laptops, both at 0.95: (220 + 260) W ÷ (230 V × 0.95)
        ("W10", 2.197),
        # charger: 25 A × 28.4 V ÷ 0.92 = 771.7 W; ÷ (230 V × 0.98)
        ("W11", 3.424),
        # heater 750 W ÷ 230 V
        ("W12", 3.261),
        # transferred sockets: active (1480 W ÷ 230 V) = 6.435 A, reactive 2.087 A × tan(acos 0.95) = 0.686 A
        ("W7", 6.471),
        # all of it: active (1480 + 750 + 771.7) W ÷ 230 V = 13.051 A;
        # reactive 0.686 + 3.355 × tan(acos 0.98) = 0.686 + 0.681 = 1.367 A; √(13.051² + 1.367²)
        ("W1", 13.122),
        # inverter at full output from an empty battery: 1600 W ÷ (0.9 × 24 V)
        ("W23", 74.07),
        # d.c. circuits: (48 + 36 + 40 + 65 + 90 + 96 + 36 + 18 + 120 + 24) W ÷ 24 V = 573 ÷ 24
        ("W25", 23.875),
        # through the main fuse: 74.07 + 23.875 + 3 W ÷ 24 V
        ("W20", 98.07),
        # engine charger: 15 A × 24 V × 1.2 ÷ (0.9 × 12 V); 1.2 is the assumed charging voltage over nominal
        ("W40", 40.0),
        # solar: 1.25 × 10.5 A
        ("W44", 13.125),
    ],
)
def test_design_current(sizing, cable, current_a):
    assert sizing.cables[cable].design_current_a == pytest.approx(current_a, rel=2e-4)


@pytest.mark.parametrize(
    ("cable", "capacity_a"),
    [
        ("W2", 27 * 0.87),
        ("W10", 27 * 0.87 * 0.85),
        ("W50", 27 * 0.50),
        ("W1", 25 * 0.82),
        # 50 mm², 90 °C, single core in free air, method F, two loaded, B.52.12: 242 A
        ("W20", 242 * 0.91),
    ],
)
def test_capacity(sizing, cable, capacity_a):
    assert sizing.cables[cable].capacity_a == pytest.approx(capacity_a, rel=1e-6)


def test_drop_from_site_to_tea_corner(sizing):
    """Cable by cable, out and back, conductors at their operating temperature (60 °C rubber, 70 °C PVC)."""
    r_flexible = 7.98e-3 * (1 + 0.00393 * 40)
    r_25 = 7.98e-3 * (1 + 0.00393 * 50)
    r_4 = 4.95e-3 * (1 + 0.00393 * 50)
    # The kettle takes active current only: what counts is the active part of the current in each cable,
    # and the reactance of 0.08 mohm/m times the reactive part.
    x = 0.08e-3
    all_active, all_reactive = 13.051, 1.367
    transferred_active, transferred_reactive = 6.435, 0.686
    by_hand = (
        2 * 25 * (r_flexible * all_active + x * all_reactive)
        + 2 * 1 * (r_25 * all_active + x * all_reactive)
        + 2 * 0.5 * (r_25 * transferred_active + x * transferred_reactive)
        + 2 * 0.3 * (r_4 * transferred_active + x * transferred_reactive)
        + 2 * 5 * r_25 * 4.348
    )
    drop = next(d for d in sizing.drops if (d.source, d.item) == ("site", "tea_corner"))
    assert drop.drop_v == pytest.approx(by_hand, rel=5e-3)
    assert drop.drop_percent == pytest.approx(100 * by_hand / 230, rel=5e-3)


def test_drop_from_battery_to_usb_points(sizing):
    """Main cables at 90 °C with 98.07 A or what is left of it, board feed with 23.875 A, circuit with 4 A."""
    r_50 = 0.386e-3 * (1 + 0.00393 * 70)
    r_16 = 1.21e-3 * (1 + 0.00393 * 50)
    r_25 = 7.98e-3 * (1 + 0.00393 * 50)
    by_hand = (
        0.15 * r_50 * 98.07
        + (0.5 + 0.3) * r_50 * 97.95  # the alarms' 0.125 A branches off behind the main fuse
        + (0.4 + 0.3) * r_50 * 98.07
        + 2 * 1.5 * r_16 * 23.875
        + 2 * 6 * r_25 * 4.0
    )
    drop = next(d for d in sizing.drops if (d.source, d.item) == ("battery", "usb_points"))
    assert drop.drop_v == pytest.approx(by_hand, rel=5e-3)
