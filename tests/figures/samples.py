"""Four hand-made diagrams: a road vehicle, a boat, a trailer wired the American way, and a hut."""

from asfitted.figures.graph import Diagram, Kind, Piece, Wire


class Sketch:
    """Collects pieces and wires in the order in which a person would describe them."""

    def __init__(self) -> None:
        self.pieces: list[Piece] = []
        self.wires: list[Wire] = []

    def piece(self, name: str, symbol: str, *lines: str, board: str = "", planned: bool = False) -> str:
        words = (
            ("open", "closed")
            if symbol in ("breaker", "rcd", "rcbo", "isolator", "switch", "contactor")
            else ()
        )
        self.pieces.append(Piece(name, symbol, name, lines, board=board, planned=planned, words=words))
        return name

    def wire(self, a: str, b: str, *lines: str, kind: Kind = "ac", planned: bool = False) -> None:
        first, _, out = a.partition(".")
        second, _, into = b.partition(".")
        number = f"w{len(self.wires) + 1}"
        self.wires.append(Wire(number, (first, out or "out"), (second, into or "in"), lines, kind, planned))

    def chain(self, *items: str | tuple[str, ...], kind: Kind = "ac") -> None:
        """Join pieces in turn; a tuple between two of them labels the wire."""
        previous, label = "", ()
        for item in items:
            if isinstance(item, tuple):
                label = item
                continue
            if previous:
                self.wire(previous, item, *label, kind=kind)
            previous, label = item, ()

    def circuits(
        self, bar: str, kind: Kind, rows: list[tuple[str, str, str, str, str, str]], board: str = ""
    ) -> None:
        """Add (device, symbol, rating, cable, load symbol, load) below a bar."""
        for number, (device, symbol, rating, cable, load_symbol, load) in enumerate(rows, 1):
            self.piece(device, symbol, *rating.split("\n"), board=board)
            end = self.piece(f"{bar}.{number}".replace(".", "-X"), load_symbol, load)
            self.chain(bar, device, tuple(cable.split("\n")), end, kind=kind)

    def diagram(self) -> Diagram:
        return Diagram(tuple(self.pieces), tuple(self.wires))


def road_vehicle() -> Diagram:
    s = Sketch()
    s.piece("site", "source", "230 V 50 Hz 16 A", "TN-S", "N–PE link: at origin")
    s.piece("inlet", "inlet", "16 A", "nearside rear")
    s.piece("QF1", "rcbo", "C16 30 mA", "type A 2P", board="AC board")
    s.piece("changeover", "transfer", "25 A 2P", "1: site, 2: inverter", board="AC board")
    s.piece("inverter", "inverter", "24 V 1.6 kW", "N–PE link: own terminals")
    s.piece("QF2", "breaker", "B10 2P 6 kA")
    s.piece("ac_bar", "bar", "AC board", board="AC board")
    s.piece("charger", "charger", "24 V 20 A")
    s.piece("battery", "battery", "25.6 V 200 Ah", "LiFePO4")
    s.piece("F10", "fuse", "125 A class T")
    s.piece("Q10", "isolator", "275 A")
    s.piece("B1", "shunt", "500 A")
    s.piece("dc_plus", "bar", "24 V bus")
    s.piece("F11", "fuse", "100 A")
    s.piece("solar", "solar", "2 × 210 W")
    s.piece("mppt", "dc_dc", "100 V 30 A")
    s.piece("F12", "fuse", "40 A")
    s.piece("alternator", "alternator", "28 V 90 A")
    s.piece("dcdc", "dc_dc", "24/24 V 30 A")
    s.piece("F13", "fuse", "40 A")
    s.piece("F14", "fuse", "60 A")
    s.piece("dc_board", "bar", "DC board", board="DC board")
    s.chain("site", ("W1 3G2.5", "25 m"), "inlet", ("W2 3G2.5", "1 m"), "QF1", ("W3 3G2.5",), "changeover.s1")
    s.chain("inverter", ("W5 3G2.5", "0.8 m"), "QF2", ("W6 3G2.5",), "changeover.s2")
    s.chain("changeover", ("W7 3G2.5", "0.3 m"), "ac_bar")
    s.circuits(
        "ac_bar",
        "ac",
        [
            ("F1", "rcbo", "10 A 30 mA\ntype A", "W10 3G1.5\n7 m", "socket", "reading desk"),
            ("F2", "rcbo", "10 A 30 mA\ntype A", "W11 3G1.5\n5 m", "socket", "counter"),
            ("F4", "rcbo", "10 A 30 mA\ntype A", "W13 3G1.5\n9 m", "load", "water heater"),
            ("F5", "breaker", "6 A", "W14 3G1.5\n6 m", "lamp", "reading lamps"),
        ],
        board="AC board",
    )
    s.piece("F3", "rcbo", "10 A 30 mA", "type A", board="AC board")
    s.chain("QF1", ("W4 3G2.5", "0.3 m"), "F3", ("W12 3G1.5", "2 m"), "charger")
    s.chain("charger", ("W24 10 mm²", "1 m"), "F13", "dc_plus", kind="dc")
    s.chain("battery", ("W20 50 mm²", "0.15 m"), "F10", "Q10", ("W21 50 mm²",), "B1", "dc_plus", kind="dc")
    s.chain("dc_plus", "F11", ("W22 50 mm²", "0.9 m"), "inverter", kind="dc")
    s.chain("solar", ("W30 6 mm²", "6 m"), "mppt", ("W31 10 mm²", "1 m"), "F12", "dc_plus", kind="dc")
    s.piece("F15", "fuse", "40 A")
    s.chain("alternator", ("W32 16 mm²", "5 m"), "F15", "dcdc", ("W33 10 mm²", "1 m"), "dc_plus", kind="dc")
    s.chain("dc_plus", "F14", ("W40 16 mm²", "2 m"), "dc_board", kind="dc")
    s.circuits(
        "dc_board",
        "dc",
        [
            ("F21", "fuse", "7.5 A", "W41 2.5 mm²\n7 m", "lamp", "shelf lamps"),
            ("F22", "fuse", "10 A", "W42 2.5 mm²\n4 m", "motor", "water pump"),
            ("F23", "fuse", "15 A", "W43 4 mm²\n5 m", "load", "refrigerator"),
            ("F24", "fuse", "5 A", "W44 1.5 mm²\n8 m", "load", "gas alarm"),
            ("F25", "fuse", "10 A", "W45 2.5 mm²\n6 m", "motor", "roof fan"),
            ("F26", "fuse", "10 A", "W46 2.5 mm²\n3 m", "socket", "USB outlets"),
        ],
        board="DC board",
    )
    return s.diagram()


def boat() -> Diagram:
    s = Sketch()
    s.piece("shore", "source", "230 V 32 A", "TN-S")
    s.piece("X1", "inlet", "32 A")
    s.piece("Q1", "rcbo", "C32 30 mA", "type A 2P")
    s.piece("B5", "galvanic_isolator", "60 A")
    s.piece("T9", "transformer", "7 kVA isolating", "N–PE link: secondary")
    s.piece("G3", "generator", "6 kVA 230 V", "N–PE link: own frame")
    s.piece("Q5", "breaker", "C25 2P")
    s.piece("Q3", "transfer", "40 A 2P", "1: shore, 2: generator")
    s.piece("Q4", "breaker", "C32 2P")
    s.piece("T1", "inverter_charger", "24 V 3 kVA", "70 A charge")
    s.piece("Q2", "rcd", "25 A 30 mA", "type A")
    s.piece("W1", "bar", "AC board -A1", board="AC board")
    s.chain("shore", ("W1 3G6", "25 m"), "X1", ("W2 3G6",), "Q1", "B5", "T9", ("W3 3G6",), "Q3.s1")
    s.chain("G3", ("W4 3G4", "3 m"), "Q5", ("W5 3G4",), "Q3.s2")
    s.chain("Q3", ("W6 3G6",), "Q4", "T1.ac_in")
    s.chain("T1.ac_out", ("W7 3G6",), "Q2", "W1")
    rows = [
        ("F1", "breaker", "B16 2P", "W41 3G2.5\n5 m", "socket", "galley sockets"),
        ("F2", "breaker", "B16 2P", "W42 3G2.5\n7 m", "socket", "saloon sockets"),
        ("F3", "breaker", "B16 2P", "W43 3G2.5\n9 m", "socket", "aft cabin"),
        ("F4", "breaker", "B16 2P", "W44 3G2.5\n11 m", "load", "water heater"),
        ("F5", "breaker", "B10 2P", "W45 3G2.5\n13 m", "motor", "washer"),
        ("F6", "breaker", "B6 2P", "W46 3G1.5\n15 m", "lamp", "AC lights"),
    ]
    s.circuits("W1", "ac", rows, board="AC board")
    s.piece("F7", "breaker", "B10 2P", board="AC board")
    s.piece("T2", "charger", "start battery", "24 V 15 A")
    s.chain("W1", "F7", ("W47 3G2.5", "17 m"), "T2")
    s.piece("G10", "battery", "25.6 V 280 Ah", "LiFePO4")
    s.piece("F10", "fuse", "300 A class T")
    s.piece("Q10", "isolator", "300 A")
    s.piece("B1", "shunt", "500 A")
    s.piece("W90", "bar", "24 V house busbar")
    s.chain("G10", ("W20 95 mm²",), "F10", "Q10", "B1", ("W22 95 mm²",), "W90", kind="dc")
    s.piece("F11", "fuse", "200 A T")
    s.chain("W90", "F11", ("W21 70 mm²",), "T1.dc", kind="dc")
    s.piece("G2", "solar", "3 × 150 W")
    s.piece("T3", "dc_dc", "30 A")
    s.piece("F21", "fuse", "40 A")
    s.chain("G2", ("W30 6 mm²", "8 m"), "T3", ("W31 10 mm²",), "F21", "W90", kind="dc")
    s.piece("W91", "bar", "start busbar")
    s.piece("G11", "battery", "24 V 110 Ah", "start")
    s.piece("F15", "fuse", "200 A")
    s.piece("G4", "alternator", "24 V 80 A")
    s.piece("M1", "motor", "engine starter")
    s.piece("T4", "dc_dc", "40 A")
    s.piece("F16", "fuse", "60 A")
    s.piece("F19", "fuse", "20 A")
    s.chain("G11", ("W33 95 mm²",), "F15", "W91", kind="dc")
    s.chain("G4", ("W32 35 mm²",), "W91", kind="dc")
    s.chain("W91", ("W34 95 mm²",), "M1", kind="dc")
    s.chain("W91", ("W35 16 mm²",), "T4", "F16", ("W36 16 mm²",), "W90", kind="dc")
    s.chain("T2", ("W37 4 mm²",), "F19", "W91", kind="dc")
    s.piece("F12", "fuse", "100 A")
    s.piece("W92", "bar", "DC board -A2", board="DC board")
    s.chain("W90", "F12", ("W50 35 mm²", "4 m"), "W92", kind="dc")
    names = [
        "nav lights",
        "instruments",
        "bilge pump",
        "fresh water",
        "cabin lights",
        "fridge",
        "heater",
        "gas alarm",
    ]
    symbols = ["lamp", "load", "motor", "motor", "lamp", "load", "load", "load"]
    rows = [
        (f"F3{i + 1}", "fuse", "10 A", f"W6{i + 1} 2.5 mm²\n{i + 4} m", symbols[i], names[i])
        for i in range(len(names))
    ]
    s.circuits("W92", "dc", rows, board="DC board")
    return s.diagram()


def trailer() -> Diagram:
    """A trailer wired the American way: 120/240 V split-phase park supply, converter, 12 V."""
    s = Sketch()
    s.piece("pedestal", "source", "120/240 V 60 Hz 50 A", "N–PE link: service")
    s.piece("X1", "inlet", "50 A 4-wire")
    s.piece("G1", "generator", "5.5 kW 120 V", "N–PE link: none, floating")
    s.piece("Q9", "breaker", "30 A 2P")
    s.piece("ATS", "transfer", "50 A 2P", "1: park, 2: generator")
    s.piece("Q1", "breaker", "main 50 A 2P", board="panel")
    s.piece("panel", "bar", "AC panel", board="panel")
    s.chain("pedestal", ("W1 6 AWG", "36 ft"), "X1", ("W2 6 AWG",), "ATS.s1")
    s.chain("G1", ("W3 10 AWG",), "Q9", "ATS.s2")
    s.chain("ATS", ("W4 6 AWG",), "Q1", "panel")
    rows = [
        ("CB1", "breaker", "20 A", "W11 12 AWG\n20 ft", "load", "air conditioner 1"),
        ("CB2", "breaker", "20 A", "W12 12 AWG\n32 ft", "load", "air conditioner 2"),
        ("CB3", "rcbo", "20 A GFCI", "W13 12 AWG\n15 ft", "socket", "kitchen receptacles"),
        ("CB4", "rcbo", "15 A GFCI", "W14 14 AWG\n24 ft", "socket", "bath, outside receptacles"),
        ("CB5", "breaker", "15 A", "W15 14 AWG\n12 ft", "load", "water heater"),
    ]
    s.circuits("panel", "ac", rows, board="panel")
    s.piece("CB6", "breaker", "15 A", board="panel")
    s.piece("T1", "charger", "converter 12 V 55 A")
    s.chain("panel", "CB6", ("W16 14 AWG", "4 ft"), "T1")
    s.piece("FB", "bar", "12 V distribution")
    s.chain("T1", ("W20 6 AWG",), "FB", kind="dc")
    s.piece("GB", "battery", "12.8 V 200 Ah")
    s.piece("F1", "fuse", "100 A")
    s.piece("Q2", "switch", "disconnect 300 A")
    s.chain("GB", ("W21 4 AWG",), "F1", "Q2", ("W22 4 AWG",), "FB", kind="dc")
    for number, (name, symbol) in enumerate(
        [
            ("lamps", "lamp"),
            ("slide motors", "motor"),
            ("water pump", "motor"),
            ("furnace", "load"),
            ("stereo", "load"),
        ],
        1,
    ):
        s.piece(f"FD{number}", "fuse", "15 A")
        s.piece(f"L{number}", symbol, name)
        s.chain("FB", f"FD{number}", (f"W3{number} 14 AWG", "18 ft"), f"L{number}", kind="dc")
    return s.diagram()


def hut() -> Diagram:
    """A hut on solar power with a future generator (planned)."""
    s = Sketch()
    s.piece("solar", "solar", "4 × 400 W")
    s.piece("Q1", "isolator", "2P 25 A dc")
    s.piece("mppt", "dc_dc", "150 V 60 A")
    s.piece("F1", "fuse", "80 A")
    s.piece("bus", "bar", "48 V bus")
    s.piece("battery", "battery", "51.2 V 200 Ah")
    s.piece("F2", "fuse", "200 A class T")
    s.piece("K1", "contactor", "BMS 200 A")
    s.piece("F3", "fuse", "125 A")
    s.piece("inverter", "inverter", "48 V 3 kVA", "N–PE link: on the bar")
    s.piece("Q2", "rcd", "25 A 30 mA type A")
    s.piece("ac_bar", "bar", "AC board", board="AC board")
    s.chain(
        "solar", ("W1 6 mm²", "15 m"), "Q1", ("W2 6 mm²",), "mppt", ("W3 16 mm²",), "F1", "bus", kind="dc"
    )
    s.chain("battery", ("W4 35 mm²",), "F2", "K1", ("W5 35 mm²",), "bus", kind="dc")
    s.chain("bus", "F3", ("W6 35 mm²",), "inverter", kind="dc")
    s.chain("inverter", ("W7 3G4", "2 m"), "Q2", "ac_bar")
    rows = [
        ("F11", "breaker", "B16", "W11 3G2.5\n6 m", "socket", "kitchen sockets"),
        ("F12", "breaker", "B10", "W12 3G1.5\n9 m", "lamp", "lights"),
        ("F13", "breaker", "B16", "W13 3G2.5\n14 m", "motor", "well pump"),
    ]
    s.circuits("ac_bar", "ac", rows, board="AC board")
    s.piece("generator", "generator", "3 kVA", "(planned)", planned=True)
    s.piece("charger", "charger", "48 V 25 A", "(planned)", planned=True)
    s.wire("generator", "charger", "W20 3G2.5", planned=True)
    s.wire("charger", "bus", "W21 10 mm²", kind="dc", planned=True)
    return s.diagram()


SAMPLES = {"road_vehicle": road_vehicle, "boat": boat, "trailer": trailer, "hut": hut}
