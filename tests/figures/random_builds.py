"""Seeded random builds, as descriptions: boards with one to ten circuits, with and without changeover and bonds."""

import random

LONG = (
    "sockets_beside_the_longest_worktop",
    "lamp",
    "extraordinarilylongunbrokenword",
    "pump",
    "heater_in_the_aft_cabin",
)
SETTINGS = ("road vehicle", "trailer", "boat", "cabin", "house")
RULES = ("IEC 60364", "BS 7671", "ISO 13297", "NFPA 70", "33 CFR 183")
PLACES = (
    "nearside rear locker",
    "behind the driver",
    "port side, aft",
    "roof",
    "under the bench",
    "engine",
    "",
)


def random_build(seed: int) -> str:
    """Return the text of a description that loads; nobody would call it sound."""
    chance = random.Random(seed)  # noqa: S311  (reproducible, no secret)
    names = iter(f"{chance.choice(LONG)}_{n}" for n in range(100))

    def place() -> str:
        found = chance.choice(PLACES)
        return f', place: "{found}"' if found else ""

    change, bond = chance.random() < 0.6, chance.choice(("fixed", "closed when inverting", "none"))
    lands = chance.choice(("own earth terminal", "earth_bar"))
    tied = (
        "kind: none" if bond == "none" else f"kind: {bond}, lands on: {lands}, allowed by maker: data sheet"
    )
    device = chance.choice(("RCBO: 10 A", "breaker: C 10 A 1P 6 kA"))
    ac = "\n".join(
        f"    F{n}: {{{device}, W1{n}: {chance.randint(1, 20)} m, sockets: 2 × 16 A {next(names)}{place()}}}"
        for n in range(1, chance.randint(2, 10))
    )
    dc = "\n".join(
        f"    F{n}: {{breaker: {chance.choice((6, 10))} A 1P C 60 V dc 6 kA, W5{n}: {chance.randint(1, 9)} m,"
        f" load: {(name := next(names))}, loads: {{{name} light: 20 W lighting}}{place()}}}"
        for n in range(21, 21 + chance.randint(1, 10))
    )
    runs = ["- ac:    [site, W1: 25 m, inlet, W2: 1 m, QF1: RCBO C16 in AC board, "]
    if change:
        runs[0] += "W3: 0.5 m, changeover.source 1]"
        runs.append(
            "- ac:    [inverter, W5: 0.8 m, QF2: RCBO B10 in AC board, W6: 0.4 m, changeover.source 2]"
        )
        runs.append("- ac:    [changeover, W7: 0.3 m, AC board]")
    else:
        runs[0] += "AC board]"
    if chance.random() < 0.5:
        runs.append("- bond:  [n_bar, W90: 6 mm² 0.2 m, earth_bar]")
    changeover = (
        "changeover: {transfer switch: 25 A 2P, in: AC board, rest position: source 2}" if change else ""
    )
    lines = "\n  ".join(runs)
    return f"""
asfitted: 1
build: {{title: "Build {seed}", reference: R-{seed}, setting: {chance.choice(SETTINGS)},
        use: lived in, rules: {chance.choice(RULES)}, ambient: 30 °C, lowest temperature: -10 °C}}
revisions: {{1: "2026-01-01, the builder, first issue"}}
defaults:
  RCBO: B 2P 30 mA type A 6 kA
  fuse T: 125 V dc 20 kA
  ac cable: 2.5 mm² PVC 70 °C clipped
  dc cable: 2.5 mm² PVC 70 °C clipped
  battery cable: 50 mm² EPR 90 °C free air
  status: installed
boards:
  AC board: {{line bar: l_bar, neutral bar: n_bar, earth bar: earth_bar{place()}}}
  DC board: {{plus bar: dc_plus, minus bar: dc_minus{place()}}}
sources:
  site: {{ac supply: 230 V 50 Hz 16 A TN-S, upstream: C16}}
  battery: {{battery: LiFePO4 25.6 V 200 Ah{place()}}}
  inverter: {{inverter: 24 V 1.6 kW 230 V ac 50 Hz, isolation: isolated, neutral bond: {{{tied}}}{place()}}}
equipment:
  inlet: {{supply inlet: 16 A{place()}}}
  {changeover}
  body: structure
runs:
  {lines}
  - earth: [inverter, W8: 16 mm² 1 m, earth_bar, W9: 16 mm² 0.8 m, body]
  - plus:  [battery, W20: battery cable 0.15 m, F10: fuse T 125 A, W21: battery cable 0.9 m, inverter]
  - minus: [inverter, W22: battery cable 1.2 m, dc_minus, W23: battery cable 0.3 m, battery]
  - plus:  [F10, W24: 16 mm² PVC 70 °C clipped 1 m, F12: fuse T 60 A, W25: 16 mm² PVC 70 °C clipped 1 m, DC board]
circuits:
  AC board:
{ac}
  DC board:
{dc}
"""
