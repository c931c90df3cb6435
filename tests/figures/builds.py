"""Two small builds as a person would describe them."""

VAN = """
asfitted: 1
build: {title: "A <small> van & its shed", reference: T-1, setting: road vehicle, use: lived in,
        rules: IEC 60364, ambient: 30 °C, lowest temperature: -10 °C}
revisions: {1: "2026-01-01, the builder, first issue"}
defaults:
  RCBO: B 2P 30 mA type A 6 kA
  fuse T: 125 V dc 20 kA
  ac cable: 2.5 mm² PVC 70 °C clipped
  battery cable: 50 mm² EPR 90 °C free air
  status: installed
boards:
  AC board: {line bar: l_bar, neutral bar: n_bar, earth bar: earth_bar}
sources:
  site: {ac supply: 230 V 50 Hz 16 A TN-S, upstream: C16}
  battery: {battery: LiFePO4 25.6 V 200 Ah}
  inverter: {inverter: 24 V 1.6 kW, isolation: isolated,
             neutral bond: {kind: fixed, lands on: own earth terminal, allowed by maker: data sheet}}
equipment:
  inlet: {supply inlet: 16 A}
  changeover: {transfer switch: 25 A 2P, in: AC board, rest position: source 2}
  body: structure
  dc_minus: {busbar: 100 A}
runs:
  - ac:    [site, W1: 25 m, inlet, W2: 1 m, QF1: RCBO C16, W3: 0.5 m, changeover.source 1]
  - ac:    [inverter, W5: 0.8 m, QF2: RCBO B10, W6: 0.4 m, changeover.source 2]
  - ac:    [changeover, W7: 0.3 m, AC board]
  - earth: [inverter, W8: 16 mm² 1 m, earth_bar, W9: 16 mm² 0.8 m, body]
  - plus:  [battery, W20: battery cable 0.15 m, F10: fuse T 125 A, W21: battery cable 0.9 m, inverter]
  - minus: [inverter, W22: battery cable 1.2 m, dc_minus, W23: battery cable 0.3 m, battery]
circuits:
  AC board:
    F1: {RCBO: 10 A, W10: 7 m, sockets: 4 × 16 A desk}
    F2: {RCBO: 10 A planned, W11: 5 m planned, load: heater planned, loads: {heater: 750 W heater}}
states: {plugged in: "site live, inverter off", on battery: "site unplugged, inverter running"}
"""

BOAT = """
asfitted: 1
build: {title: "Grey Heron", reference: GH-1, setting: boat, use: lived in,
        rules: ISO 13297, ambient: 30 °C, lowest temperature: -10 °C, engine: diesel}
revisions: {1: "2026-01-01, the builder, first issue"}
defaults:
  RCBO: B 2P 30 mA type A 6 kA
  breaker: C 2P 6 kA 230 V ac
  fuse T: 125 V dc 20 kA
  ac cable: 2.5 mm² PVC 70 °C clipped
  dc cable: 2.5 mm² PVC 70 °C clipped
  battery cable: 50 mm² EPR 90 °C free air
  status: installed
boards:
  AC board: {line bar: l_bar, neutral bar: n_bar, earth bar: earth_bar}
  DC board: {plus bar: dc_plus, minus bar: dc_minus}
sources:
  shore: {ac supply: 230 V 50 Hz 16 A TN-S, upstream: C16}
  genset: {generator: 230 V 50 Hz 5 kW, neutral bond: {kind: fixed, lands on: own earth terminal}}
  battery: {battery: LiFePO4 25.6 V 280 Ah}
  solar: {solar array: 600 W, open-circuit voltage: 49 V, short-circuit current: 10.5 A}
  alternator: {alternator: 28 V 80 A}
  multi: {inverter charger: 24 V 3 kW 70 A, isolation: isolated, transfer poles: 2P, transfer rating: 32 A,
          neutral bond: {kind: closed when inverting, lands on: own earth terminal}}
  iso: {isolating transformer: 3.6 kW, shore earth: ends at the screen,
        neutral bond: {kind: fixed, lands on: own earth terminal}}
equipment:
  inlet: {supply inlet: 16 A}
  sel: {selector switch: 32 A 2P}
  hull: structure
  mppt: {solar controller: 100 V 30 A}
  main_plus: {busbar: 300 A}
  main_minus: {busbar: 300 A}
runs:
  - ac:    [shore, W1: 25 m, inlet, W2: 1 m, QF1: RCBO C16, W3: 0.5 m, iso, W4: 1 m, sel.source 1]
  - ac:    [genset, W5: 3 m, Q5: breaker 25 A, W6: 0.4 m, sel.source 2]
  - ac:    [sel, W7: 0.3 m, Q4: breaker 25 A, W8: 1 m, multi]
  - ac:    [multi, W9: 1 m, Q2: RCD 25 A 2P 30 mA type A, W10: 1 m, AC board]
  - earth: [earth_bar, W11: 16 mm² 1 m, hull]
  - plus:  [battery, W20: battery cable 0.15 m, F10: fuse T 250 A, Q10: isolator 300 A 48 V dc,
            W21: battery cable 0.5 m, main_plus]
  - minus: [battery, W22: battery cable 0.15 m, B1: meter 300 A, W23: battery cable 0.5 m, main_minus]
  - plus:  [main_plus, F11: fuse T 200 A, W24: battery cable 1 m, multi]
  - minus: [main_minus, W25: battery cable 1 m, multi]
  - dc:    [solar, W26: 6 mm² 8 m, mppt]
  - plus:  [mppt, W27: 10 mm² 1 m, F12: fuse T 40 A, main_plus]
  - minus: [mppt.battery, W28: 10 mm² 1 m, main_minus]
  - plus:  [alternator, W29: 35 mm² 3 m, F13: fuse T 100 A, main_plus]
  - minus: [alternator, W30: 35 mm² 3 m, main_minus]
  - minus: [main_minus, W31: 16 mm² 1 m, hull]
  - plus:  [main_plus, F14: fuse T 80 A, W32: 16 mm² 2 m, DC board]
  - minus: [main_minus, W33: 16 mm² 2 m, DC board]
circuits:
  AC board:
    F1: {breaker: 16 A, W41: 5 m, sockets: 4 × 16 A galley}
    F2: {breaker: 16 A, W42: 7 m, sockets: 4 × 16 A saloon}
    F3: {breaker: 16 A, W43: 9 m, load: heater, loads: {heater: 1 kW heater}}
    F4: {breaker: 10 A, W44: 9 m, load: washer, loads: {washer: 2 kW motor}}
  DC board:
    F21: {fuse blade: 10 A 32 V dc 1 kA, W51: 7 m, load: nav_lights, loads: {lamps: 20 W lighting}}
    F22: {fuse blade: 10 A 32 V dc 1 kA, W52: 7 m, load: bilge_pump, loads: {pump: 90 W motor}}
    F23: {fuse blade: 10 A 32 V dc 1 kA, W53: 7 m, load: instruments, loads: {instruments: 40 W}}
    F24: {fuse blade: 10 A 32 V dc 1 kA, W54: 7 m, load: fridge, loads: {fridge: 60 W motor}}
"""
