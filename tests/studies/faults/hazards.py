"""Single changes to a sound vehicle, each with the hazards it makes and the states in which they stand.

Written down after each was thought through; nothing of the two upper classes beside these may be raised.
"""

BOND = "neutral bond: {kind: fixed, lands on: own earth terminal, allowed by maker: data sheet}"
UP = "upstream: C16 + RCD 30 mA type A"

ON_SITE = {"live running", "live off"}
ON_INVERTER = {"unplugged running", "dead running"}
INVERTER_RUNS = {"live running", *ON_INVERTER}
ALIVE = {*ON_SITE, *ON_INVERTER}

#: an isolating transformer behind the inlet, with an earth bar of its own for what comes from ashore
SCREEN_ONLY = [
    ("s_neutral 40 A, earth bar: earth_bar}", "s_neutral 40 A, earth bar: shore_earth}"),
    (
        "W3: 0.5 m, changeover.source 1]",
        "W3: 0.5 m, it.primary]\n  - ac:    [it.secondary, W33: 0.5 m, QF8: RCBO C16 in AC board, W34: 0.3 m, changeover.source 1]",  # noqa: E501
    ),
    (
        "  body: structure",
        "  it: {isolating transformer: 3.6 kW, shore earth: ends at the screen, neutral bond: {kind: fixed, lands on: own earth terminal, allowed by maker: data sheet}}\n  body: structure",  # noqa: E501
    ),
]
BOAT = ("setting: road vehicle", "setting: boat")
PLUGGED_IN = {"live running", "live off", "dead running", "dead off"}

PORCH = ("  body: structure", "  body: structure\n  porch: {sockets: 1 × 16 A, loads: {radio: 300 W}}")
CIRCUITS = "circuits:\n"


def porch(line: str, neutral: str) -> str:
    """Return the sockets of the porch with line and neutral where they are said to land."""
    cores = f"{{L: [{line}, porch.L], N: [{neutral}, porch.N], PE: [earth_bar, porch.PE]}}"
    laid = "kind: ac, size: 2.5 mm², length: 3 m, insulation: PVC 70 °C, method: clipped, status: installed"
    return f"cables:\n  W90: {{{laid}, cores: {cores}}}\ncircuits:\n"


HAZARDS = {
    "no bond": ([(BOND, "neutral bond: {kind: none}")], {"no-bond": ON_INVERTER}),
    "bond on load side of QF2 at board": (
        [
            (BOND, "neutral bond: {kind: none}"),
            ("circuits:\n", "  - bond:  [n_bar, W99: 6 mm² 0.2 m, earth_bar]\ncircuits:\n"),
        ],
        {"two-bonds": ON_SITE, "bond-behind-rcd": ALIVE, "trips-in-service": ON_SITE},
    ),
    "second bond at board": (
        [("circuits:\n", "  - bond:  [n_bar, W99: 6 mm² 0.2 m, earth_bar]\ncircuits:\n")],
        {"two-bonds": ALIVE, "bond-behind-rcd": ALIVE, "trips-in-service": ALIVE},
    ),
    "second bond at inlet board": (
        [("circuits:\n", "  - bond:  [s_neutral, W99: 6 mm² 0.2 m, earth_bar]\ncircuits:\n")],
        {"two-bonds": ON_SITE, "bond-behind-rcd": ON_SITE, "trips-in-service": ON_SITE},
    ),
    "one pole transfer": (
        [("25 A 2P", "25 A 1P")],
        {
            "two-bonds": {"dead running", "live off", "live running"},
            "bond-behind-rcd": {"dead running", "live off", "live running"},
            "neutral-at-pins": {"unplugged running"},
            "trips-in-service": {"dead running", "live off", "live running"},
        },
    ),
    "one pole relay bond": (
        [("25 A 2P", "25 A 1P"), ("kind: fixed", "kind: closed when inverting")],
        {
            "two-bonds": {"dead running", "live running"},
            "bond-behind-rcd": {"dead running", "live running"},
            "neutral-at-pins": {"unplugged running"},
            "trips-in-service": {"dead running", "live running"},
        },
    ),
    "not isolated bonded": (
        [("isolation: isolated", "isolation: not isolated")],
        {
            "bond-without-neutral": set(),
            "trips-in-service": INVERTER_RUNS,
            "fault-not-cleared": INVERTER_RUNS,
        },
    ),
    "forbidden": ([("allowed by maker: data sheet", "allowed by maker: no")], {"bond-forbidden": set()}),
    "lead missing": (
        [("inverter, W8: 50 mm² 1 m, earth_bar, W9", "earth_bar, W9")],
        {"bond-not-to-earth": ON_INVERTER, "fault-not-cleared": INVERTER_RUNS, "fault-until-touched": ALIVE},
    ),
    "body not bonded": (
        [("earth_bar, W9: 50 mm² 0.8 m, body]", "earth_bar]")],
        {"fault-until-touched": ALIVE, "fault-not-cleared": INVERTER_RUNS},
    ),
    "desk without PE": ([("W10: 7 m", "W10: L N 7 m")], {"fault-until-touched": ALIVE}),
    "kitchen without PE": ([("W11: 5 m", "W11: L N 5 m")], {"fault-until-touched": ALIVE}),
    "lead W1 without PE": (
        [("W1: 25 m", "W1: L N 25 m")],
        {"bond-not-to-earth": ON_SITE, "fault-until-touched": ON_SITE},
    ),
    "W2 without PE": (
        [("W2: 1 m", "W2: L N 1 m")],
        {"bond-not-to-earth": ON_SITE, "fault-until-touched": ON_SITE},
    ),
    "inlet plain breaker": ([("QF1: RCBO C16", "QF1: breaker C16 2P 6 kA")], {"cable-ahead-of-rcd": ON_SITE}),
    "inverter plain breaker": (
        [("QF2: RCBO B10", "QF2: breaker B10 2P 6 kA")],
        {"cable-ahead-of-rcd": ON_INVERTER},
    ),
    "F1 and QF2 plain": (
        [("QF2: RCBO B10", "QF2: breaker B10 2P 6 kA"), ("F1: {RCBO: 10 A", "F1: {breaker: B10 2P 6 kA")],
        {"socket-without-rcd": ON_INVERTER, "cable-ahead-of-rcd": ON_INVERTER},
    ),
    "all plain": (
        [
            ("QF1: RCBO C16", "QF1: breaker C16 2P 6 kA"),
            ("QF2: RCBO B10", "QF2: breaker B10 2P 6 kA"),
            ("F1: {RCBO: 10 A", "F1: {breaker: B10 2P 6 kA"),
            ("F2: {RCBO: 10 A", "F2: {breaker: B10 2P 6 kA"),
        ],
        {"socket-without-rcd": ALIVE, "cable-ahead-of-rcd": ALIVE},
    ),
    "site no RCD inlet plain": (
        [(UP, "upstream: C16"), ("QF1: RCBO C16", "QF1: breaker C16 2P 6 kA")],
        {"cable-ahead-of-rcd": ON_SITE},
    ),
    "site no RCD, inlet plain, long loop": (
        [
            (UP, "upstream: C16"),
            ("QF1: RCBO C16", "QF1: breaker C16 2P 6 kA"),
            ("at most 0.8 ohm", "at most 2 ohm"),
        ],
        {"cable-ahead-of-rcd": ON_SITE, "fault-late": ON_SITE},
    ),
    "TT no site RCD, inlet plain": (
        [(UP, "upstream: C16"), ("QF1: RCBO C16", "QF1: breaker C16 2P 6 kA"), ("16 A TN-S", "16 A TT")],
        {"cable-ahead-of-rcd": ON_SITE, "fault-not-cleared": ON_SITE},
    ),
    "TN-C-S": ([("16 A TN-S", "16 A TN-C-S")], {"pen-lost": ON_SITE}),
    "reversed one pole": (
        [(UP, "polarity: may be reversed, " + UP), ("25 A 2P", "25 A 1P")],
        {
            "two-bonds": {"dead running", "live off", "live running"},
            "bond-behind-rcd": {"dead running", "live off", "live running"},
            "neutral-at-pins": {"unplugged running"},
            "short-in-service": ON_SITE,
            "reversed-onto-tie": ON_SITE,
            "trips-in-service": {"dead running", "live off", "live running"},
        },
    ),
    "restarts": ([("then latched off", "then restarts")], {"restarts-on-fault": INVERTER_RUNS}),
    "folds back": ([("then latched off", "then folds back")], {"fault-current-stays": INVERTER_RUNS}),
    "case lead thin": ([("W8: 50 mm² 1 m", "W8: 4 mm² 1 m")], {"conductor-destroyed": set()}),
    "structure lead thin": ([("W9: 50 mm²", "W9: 6 mm²")], {"conductor-destroyed": set()}),
    "minus to body thin": ([("W23: 50 mm²", "W23: 6 mm²")], {"conductor-destroyed": set()}),
    "fuse too large": ([("F10: fuse T 250 A", "F10: fuse T 600 A")], {"fault-current-stays": set()}),
    "coarse RCD everywhere": ([("B 2P 30 mA type A", "B 2P 300 mA type A")], {"socket-without-rcd": ALIVE}),
    "1P reversed no site RCD": (
        [("RCBO: B 2P 30 mA", "RCBO: B 1P 30 mA"), (UP, "polarity: may be reversed, upstream: C16")],
        {"fault-late": ON_SITE},
    ),
    "bond on earth bar, no lead": (
        [
            ("lands on: own earth terminal", "lands on: earth_bar"),
            ("inverter, W8: 50 mm² 1 m, earth_bar, W9", "earth_bar, W9"),
        ],
        {"fault-not-cleared": INVERTER_RUNS, "fault-until-touched": ALIVE},
    ),
    "inverter feeds inlet": (
        [("changeover.source 2]", "changeover.source 2]\n  - ac: [QF2, W66: L N 1 m, inlet board]")],
        {
            "two-bonds": {"live running", "live off", "dead running"},
            "bond-behind-rcd": {"live running", "live off", "dead running"},
            "sources-parallel": {"live running"},
            "live-pins": {"unplugged running"},
            "live-in-service": {"unplugged running"},
            "fault-not-cleared": {"unplugged running"},
            "feeds-dead-site": {"dead running"},
            "trips-in-service": {"live running", "live off", "dead running"},
        },
    ),
    "thin lead plain": (
        [("W1: 25 m", "W1: 100 m"), (UP, "upstream: C16"), ("QF1: RCBO C16", "QF1: breaker C16 2P 6 kA")],
        {"cable-ahead-of-rcd": ON_SITE, "fault-late": ON_SITE},
    ),
    "boat TN-C-S": (
        [("16 A TN-S", "16 A TN-C-S"), ("setting: road vehicle", "setting: boat")],
        {"pen-lost": ON_SITE},
    ),
    "at TN-C-S hall": ([(UP, UP + ", at: {hall: {earthing: TN-C-S}}")], {"pen-lost": ON_SITE}),
    "at TT farm no RCD": (
        [(UP, UP + ", at: {farm: {earthing: TT, upstream: C16}}")],
        {"fault-not-cleared": ON_SITE},
    ),
    "at TT farm no RCD plain inlet": (
        [
            (UP, UP + ", at: {farm: {earthing: TT, upstream: C16}}"),
            ("QF1: RCBO C16", "QF1: breaker C16 2P 6 kA"),
        ],
        {"cable-ahead-of-rcd": ON_SITE, "fault-not-cleared": ON_SITE},
    ),
    "W7 and board: RCD only at desk": (
        [("QF2: RCBO B10", "QF2: breaker B10 2P 6 kA"), ("F2: {RCBO: 10 A", "F2: {breaker: B10 2P 6 kA")],
        {"socket-without-rcd": ON_INVERTER, "cable-ahead-of-rcd": ON_INVERTER},
    ),
    "desk without PE and no bond": (
        [("W10: 7 m", "W10: L N 7 m"), (BOND, "neutral bond: {kind: none}")],
        {"no-bond": ON_INVERTER, "fault-until-touched": ON_SITE},
    ),
    "TT no site RCD": ([(UP, "upstream: C16"), ("16 A TN-S", "16 A TT")], {"fault-not-cleared": ON_SITE}),
    "TT D16 inlet": (
        [(UP, "upstream: D16"), ("QF1: RCBO C16", "QF1: breaker D16 2P 6 kA"), ("16 A TN-S", "16 A TT")],
        {"cable-ahead-of-rcd": ON_SITE, "fault-not-cleared": ON_SITE},
    ),
    "upstream D no RCD": (
        [(UP, "upstream: D16"), ("QF1: RCBO C16", "QF1: breaker C16 2P 6 kA")],
        {"cable-ahead-of-rcd": ON_SITE},
    ),
    "loop 3 ohm plain": (
        [
            (UP, "upstream: B16"),
            ("QF1: RCBO C16", "QF1: breaker C16 2P 6 kA"),
            ("at most 0.8 ohm", "at most 3 ohm"),
        ],
        {"cable-ahead-of-rcd": ON_SITE, "fault-late": ON_SITE},
    ),
    "restarts and no bond": (
        [("then latched off", "then restarts"), (BOND, "neutral bond: {kind: none}")],
        {"no-bond": ON_INVERTER, "restarts-on-fault": INVERTER_RUNS},
    ),
    "folds back no RCD": (
        [("then latched off", "then folds back"), ("QF2: RCBO B10", "QF2: breaker B10 2P 6 kA")],
        {"cable-ahead-of-rcd": ON_INVERTER, "fault-current-stays": INVERTER_RUNS},
    ),
    "not isolated, no bond": (
        [("isolation: isolated", "isolation: not isolated"), (BOND, "neutral bond: {kind: none}")],
        {"output-without-neutral": ON_INVERTER},
    ),
    "not isolated, no bond, minus floating": (
        [
            ("isolation: isolated", "isolation: not isolated"),
            (BOND, "neutral bond: {kind: none}"),
            ("  - minus: [battery, W23: 50 mm² 0.5 m, body]\n", ""),
        ],
        {"output-without-neutral": ON_INVERTER},
    ),
    "generator no bond": (
        [
            (
                "site: {ac supply: 230 V 50 Hz 16 A TN-S, loop impedance: at most 0.8 ohm,\n         prospective fault current: at most 3 kA, upstream: C16 + RCD 30 mA type A}",  # noqa: E501
                "site: {generator: 230 V 50 Hz 3 kW, neutral bond: {kind: none}}",
            ),
            ("[site, W1: 25 m rubber 60 °C free air class 5, inlet, W2: 1 m, QF1", "[site, W1: 2 m, QF1"),
        ],
        {"no-bond": {"running off", "running running"}},
    ),
    # the fuse T 250 A does not open on 420 A in 5 s, and (115 · 4)² A²s are used up in 1.2 s (IEC 60364-4-43)
    "thin dc cable": (
        [("W21: battery cable 0.9 m", "W21: 4 mm² 4 m")],
        {"fault-current-stays": set(), "conductor-destroyed": set()},
    ),
    "earth bar not joined": (
        [("inverter, W8: 50 mm² 1 m, earth_bar, W9: 50 mm² 0.8 m, body", "inverter, W8: 50 mm² 1 m, body")],
        {"bond-not-to-earth": ON_INVERTER, "fault-until-touched": ALIVE, "fault-not-cleared": INVERTER_RUNS},
    ),
    "site PE missing + one pole": (
        [("W1: 25 m", "W1: L N 25 m"), ("25 A 2P", "25 A 1P")],
        {
            "bond-behind-rcd": ON_SITE,
            "neutral-at-pins": {"unplugged running"},
            "fault-until-touched": ON_SITE,
        },
    ),
    "site PE missing + one pole + reversed": (
        [("W1: 25 m", "W1: L N 25 m"), ("25 A 2P", "25 A 1P"), (UP, "polarity: may be reversed, " + UP)],
        {
            "reversed-onto-tie": ON_SITE,
            "bond-behind-rcd": ON_SITE,
            "neutral-at-pins": {"unplugged running"},
            "fault-until-touched": ON_SITE,
            "live-in-service": ON_SITE,
            "fault-late": {"live running"},
        },
    ),
    "TN-C-S one pole": (
        [("16 A TN-S", "16 A TN-C-S"), ("25 A 2P", "25 A 1P")],
        {
            "two-bonds": {"dead running", "live off", "live running"},
            "bond-behind-rcd": {"dead running", "live off", "live running"},
            "neutral-at-pins": {"unplugged running"},
            "trips-in-service": {"dead running", "live off", "live running"},
            "pen-lost": {"live running"},
        },
    ),
    "no inlet RCD TT hall": (
        [(UP, UP + ", at: {hall: {earthing: TT}}"), ("QF1: RCBO C16", "QF1: breaker C16 2P 6 kA")],
        {"cable-ahead-of-rcd": ON_SITE},
    ),
    "both circuits without protective conductor": (
        [("W10: 7 m", "W10: L N 7 m"), ("W11: 5 m", "W11: L N 5 m")],
        {"bond-not-to-earth": ALIVE, "fault-until-touched": ALIVE},
    ),
    "desk without protective conductor, plain breakers": (
        [
            ("W10: 7 m", "W10: L N 7 m"),
            ("QF1: RCBO C16", "QF1: breaker C16 2P 6 kA"),
            ("QF2: RCBO B10", "QF2: breaker B10 2P 6 kA"),
            ("F1: {RCBO: 10 A", "F1: {breaker: B10 2P 6 kA"),
            (UP, "upstream: C16"),
        ],
        {"socket-without-rcd": ALIVE, "cable-ahead-of-rcd": ALIVE, "fault-not-cleared": ALIVE},
    ),
    "lead without protective conductor, no device at the site": (
        [("W1: 25 m", "W1: L N 25 m"), (UP, "upstream: C16")],
        {"bond-not-to-earth": ON_SITE, "fault-until-touched": ON_SITE, "fault-not-cleared": ON_SITE},
    ),
    "restarts, bond by relay": (
        [("then latched off", "then restarts"), ("kind: fixed", "kind: closed when inverting")],
        {"restarts-on-fault": INVERTER_RUNS},
    ),
    "one pole transfer, no device at the site": (
        [("25 A 2P", "25 A 1P"), (UP, "upstream: C16")],
        {
            "two-bonds": {"dead running", "live off", "live running"},
            "bond-behind-rcd": {"dead running", "live off", "live running"},
            "neutral-at-pins": {"unplugged running"},
            "trips-in-service": {"dead running", "live off", "live running"},
        },
    ),
    "everything plain at a TT site": (
        [
            ("16 A TN-S", "16 A TT"),
            (UP, "upstream: C16"),
            ("QF1: RCBO C16", "QF1: breaker C16 2P 6 kA"),
            ("QF2: RCBO B10", "QF2: breaker B10 2P 6 kA"),
            ("F1: {RCBO: 10 A", "F1: {breaker: B10 2P 6 kA"),
            ("F2: {RCBO: 10 A", "F2: {breaker: B10 2P 6 kA"),
        ],
        {
            "socket-without-rcd": ALIVE,
            "cable-ahead-of-rcd": ALIVE,
            "fault-not-cleared": {"dead running", "live off", "live running"},
        },
    ),
    "no bond, body not bonded": (
        [(BOND, "neutral bond: {kind: none}"), ("earth_bar, W9: 50 mm² 0.8 m, body]", "earth_bar]")],
        {"no-bond": ON_INVERTER, "fault-until-touched": ON_SITE},
    ),
    "isolating transformer, shore earth on the earth bar": (
        [
            *SCREEN_ONLY,
            BOAT,
            ("circuits:\n", "  - earth: [shore_earth, W99: 4 mm² 1 m, earth_bar]\ncircuits:\n"),
        ],
        {"isolation-defeated": PLUGGED_IN},
    ),
    "isolating transformer, shore earth on the hull through a galvanic isolator": (
        [
            *SCREEN_ONLY,
            BOAT,
            (
                "circuits:\n",
                "  - earth: [inlet.pins, W98: 4 mm² 1 m, gi: galvanic isolator 16 A, W99: 4 mm² 1 m, body]\ncircuits:\n",
            ),
        ],
        {"isolation-defeated": PLUGGED_IN},
    ),
    "neutral of one circuit behind the device of another": (
        [PORCH, (CIRCUITS, porch(line="F1.out.L", neutral="F2.out.N"))],
        {"conductors-apart": ALIVE, "trips-in-service": ALIVE},
    ),
    "neutral past its device": (
        [PORCH, (CIRCUITS, porch(line="F1.out.L", neutral="n_bar"))],
        {"conductors-apart": ALIVE, "trips-in-service": ALIVE},
    ),
    "line past its device": (
        [PORCH, (CIRCUITS, porch(line="l_bar", neutral="F1.out.N"))],
        {"conductors-apart": ALIVE, "trips-in-service": ALIVE},
    ),
    "neutral borrowed from the inlet board": (
        [PORCH, (CIRCUITS, porch(line="F1.out.L", neutral="s_neutral"))],
        {
            "conductors-apart": ON_SITE,
            "neutral-of-another-source": ON_INVERTER,
            "socket-without-rcd": ON_INVERTER,
            "live-in-service": {"unplugged running"},
            "fault-until-touched": {"unplugged running"},
            "trips-in-service": {*ON_SITE, "dead running"},
        },
    ),
    "ten metres between inlet and device": (
        [("W2: 1 m, QF1", "W2: 10 m, QF1")],
        {"cable-ahead-of-rcd": ON_SITE},
    ),
    "boat at a TT jetty without device": (
        [("setting: road vehicle", "setting: boat"), ("16 A TN-S", "16 A TT"), (UP, "upstream: C16")],
        {"fault-not-cleared": ON_SITE},
    ),
}

SOUND = {
    "site no RCD": [(UP, "upstream: C16")],
    "TT": [("16 A TN-S", "16 A TT")],
    "IT": [("16 A TN-S", "16 A IT")],
    "reversed": [(UP, "polarity: may be reversed, " + UP)],
    "1P RCBO board": [("RCBO: B 2P 30 mA", "RCBO: B 1P 30 mA")],
    "3 m between inlet and device": [("W2: 1 m, QF1", "W2: 3 m, QF1")],
    "sockets on the other circuit": [PORCH, (CIRCUITS, porch(line="F1.out.L", neutral="F1.out.N"))],
    "1P reversed": [("RCBO: B 2P 30 mA", "RCBO: B 1P 30 mA"), (UP, "polarity: may be reversed, " + UP)],
    "bond on earth bar": [("lands on: own earth terminal", "lands on: earth_bar")],
    "relay bond": [("kind: fixed", "kind: closed when inverting")],
    "rest position s1": [("rest position: source 2", "rest position: source 1")],
    "thin lead": [("W1: 25 m", "W1: 100 m")],
    "boat": [("setting: road vehicle", "setting: boat")],
    "fast transfer": [("0.4 s measured", "10 ms measured"), ("60 ms measured", "10 ms measured")],
    "inverter class II": [("isolation: isolated,", "isolation: isolated, class: II,")],
    "loop 3 ohm": [("at most 0.8 ohm", "at most 3 ohm")],
    "minus floating": [("  - minus: [battery, W23: 50 mm² 0.5 m, body]\n", "")],
    "generator for site": [
        (
            "site: {ac supply: 230 V 50 Hz 16 A TN-S, loop impedance: at most 0.8 ohm,\n         prospective fault current: at most 3 kA, upstream: C16 + RCD 30 mA type A}",  # noqa: E501
            "site: {generator: 230 V 50 Hz 3 kW, neutral bond: {kind: fixed, allowed by maker: data sheet}}",
        ),
        ("[site, W1: 25 m rubber 60 °C free air class 5, inlet, W2: 1 m, QF1", "[site, W1: 2 m, QF1"),
    ],
    "two RCDs in series": [
        ("W7: 0.3 m, AC board", "W7: 0.3 m, QF9: RCD 25 A 30 mA type A 2P, W77: 0.3 m, AC board")
    ],
    "isolating transformer, screen only": [*SCREEN_ONLY, BOAT],
    "isolating transformer in a vehicle": SCREEN_ONLY,
    "isolating transformer at a site on TN-C-S": [*SCREEN_ONLY, BOAT, ("16 A TN-S", "16 A TN-C-S")],
    "one outlet as electrical separation": [
        (BOND, "neutral bond: {kind: none}"),
        ("sockets: 2 × 16 A desk", "sockets: 1 × 16 A desk"),
        ("    F2: {RCBO: 10 A, W11: 5 m, sockets: 2 × 16 A kitchen, loads: {kettle: 690 W}}\n", ""),
    ],
}

#: hazards that no fault study sees: with the code of the study that does
LEFT_TO_SIZING = {
    "battery plus twice": (
        [
            (
                "F10: fuse T 250 A, W21: battery cable 0.9 m, inverter]",
                "F10: fuse T 250 A, W21: battery cable 0.9 m, inverter]\n  - plus:  [battery, W24: 1.5 mm² 4 m, inverter]",  # noqa: E501
            )
        ],
        {"no-protection", "case-conductor-unfused"},
    ),
}
