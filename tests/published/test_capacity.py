"""Current-carrying capacity against a second copy of the published tables, as printed."""

import pytest

from asfitted.tables.capacity import current_carrying_capacity
from asfitted.tables.looked import NoRowError

SIZES = (0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120, 150, 185, 240)
# Two loaded conductors; below 1.5 mm² (F: below 25 mm²) ABNT NBR 5410 Tables 36 to 39, on the same basis.
PRINTED = {
    (
        "IEC 60364-5-52 B.52.2",
        "PVC",
        70,
        "A1",
    ): "7 9 11 14.5 19.5 26 34 46 61 80 99 119 151 182 210 240 273 321",
    (
        "IEC 60364-5-52 B.52.2",
        "PVC",
        70,
        "A2",
    ): "7 9 11 14 18.5 25 32 43 57 75 92 110 139 167 192 219 248 291",
    (
        "IEC 60364-5-52 B.52.2",
        "PVC",
        70,
        "B1",
    ): "9 11 14 17.5 24 32 41 57 76 101 125 151 192 232 269 309 353 415",
    (
        "IEC 60364-5-52 B.52.2",
        "PVC",
        70,
        "B2",
    ): "9 11 13 16.5 23 30 38 52 69 90 111 133 168 201 232 265 300 351",
    (
        "IEC 60364-5-52 B.52.2",
        "PVC",
        70,
        "C",
    ): "10 13 15 19.5 27 36 46 63 85 112 138 168 213 258 299 344 392 461",
    (
        "IEC 60364-5-52 B.52.10",
        "PVC",
        70,
        "E",
    ): "11 14 17 22 30 40 51 70 94 119 148 180 232 282 328 379 434 514",
    (
        "IEC 60364-5-52 B.52.10",
        "PVC",
        70,
        "F",
    ): "11 14 17 22 31 41 53 73 99 131 162 196 251 304 352 406 463 546",
    (
        "IEC 60364-5-52 B.52.3",
        "XLPE",
        90,
        "A1",
    ): "10 12 15 19 26 35 45 61 81 106 131 158 200 241 278 318 362 424",
    (
        "IEC 60364-5-52 B.52.3",
        "XLPE",
        90,
        "A2",
    ): "10 12 14 18.5 25 33 42 57 76 99 121 145 183 220 253 290 329 386",
    (
        "IEC 60364-5-52 B.52.3",
        "XLPE",
        90,
        "B1",
    ): "12 15 18 23 31 42 54 75 100 133 164 198 253 306 354 407 464 546",
    (
        "IEC 60364-5-52 B.52.3",
        "XLPE",
        90,
        "B2",
    ): "11 15 17 22 30 40 51 69 91 119 146 175 221 265 305 349 395 462",
    (
        "IEC 60364-5-52 B.52.3",
        "EPR",
        90,
        "C",
    ): "12 16 19 24 33 45 58 80 107 138 171 209 269 328 382 441 506 599",
    (
        "IEC 60364-5-52 B.52.12",
        "EPR",
        90,
        "E",
    ): "13 17 21 26 36 49 63 86 115 149 185 225 289 352 410 473 542 641",
    (
        "IEC 60364-5-52 B.52.12",
        "EPR",
        90,
        "F",
    ): "13 17 21 27 37 50 65 90 121 161 200 242 310 377 437 504 575 679",
}
CASES = [
    pytest.param(insulation, temp, method, size, float(value), id=f"{source} {method} {size:g} mm²")
    for (source, insulation, temp, method), line in PRINTED.items()
    for size, value in zip(SIZES, line.split(), strict=True)
]


@pytest.mark.parametrize(("insulation", "temp", "method", "size", "printed_a"), CASES)
def test_two_loaded_conductors(insulation, temp, method, size, printed_a):
    assert current_carrying_capacity(insulation, temp, method, 2, size).value == printed_a


@pytest.mark.parametrize(
    ("temp", "method", "line"),
    [
        pytest.param(
            70, "E", "18.5 25 34 43 60 80 101 126 153 196 238 276", id="IEC 60364-5-52 B.52.10, three loaded"
        ),
        pytest.param(
            90, "E", "23 32 42 54 75 100 127 158 192 246 298 346", id="IEC 60364-5-52 B.52.12, three loaded"
        ),
        pytest.param(
            70, "B2", "15 20 27 34 46 62 80 99 118 149 179 206", id="IEC 60364-5-52 B.52.4, three loaded"
        ),
    ],
)
def test_three_loaded_conductors(temp, method, line):
    insulation = "PVC" if temp == 70 else "XLPE"
    found = [current_carrying_capacity(insulation, temp, method, 3, size).value for size in SIZES[3:15]]
    assert found == [float(value) for value in line.split()]


@pytest.mark.parametrize(
    ("size", "printed_a"),
    [
        pytest.param(1.5, 16, id="BS 7671 4F3A 1.5 mm²"),
        pytest.param(2.5, 25, id="BS 7671 4F3A 2.5 mm²"),
        pytest.param(4, 30, id="BS 7671 4F1A 4 mm²"),
        pytest.param(6, 39, id="BS 7671 4F1A 6 mm²"),
        pytest.param(10, 51, id="BS 7671 4F1A 10 mm²"),
        pytest.param(16, 73, id="BS 7671 4F1A 16 mm²"),
    ],
)
def test_rubber_lead_in_free_air(size, printed_a):
    assert current_carrying_capacity("rubber", 60, "E", 2, size).value == printed_a


def test_scaling_a_hotter_class_agrees_with_the_printed_rubber_row():
    with pytest.raises(NoRowError) as raised:
        current_carrying_capacity("rubber", 60, "C", 2, 2.5)
    nearest = raised.value.nearest
    assert nearest is not None
    assert nearest.verified == "assumed"
    assert nearest.value == pytest.approx(25, rel=0.08)  # 27 A × √(30/40) against 25 A printed in free air
