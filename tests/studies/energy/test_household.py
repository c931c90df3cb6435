"""Who lives on which battery: split-charge links, tow vehicles, chargers that a contactor parts from the inverter."""

from tests.studies.builds import studied
from tests.studies.energy.test_study import LOOP

LINK = (
    "  - plus:  [starter_battery, W47: 25 mm² 0.2 m, F20, W40: 25 mm² 5 m, engine_charger]\n",
    "  - plus:  [starter_battery, W47: 25 mm² 0.2 m, F20, W40: 25 mm² 5 m, engine_charger]\n"
    "  - plus:  [F20, W99: 25 mm² 2 m, link, W98: 25 mm² 2 m, main_plus]\n",
)
CONTACTOR = (
    "  body: structure\n",
    "  body: structure\n"
    "  link: {contactor: 100 A 1P, contacts: [plus], closed when: alternator running, place: battery locker}\n",
)


def test_a_link_to_the_starter_battery_charges_while_driving_and_is_open_at_rest():
    (bank,) = studied(LINK, CONTACTOR).energy.banks
    assert bank.bank.batteries == ("battery",)
    # 14 V would not charge 24 V: what counts here is who is joined, and that a hot alternator is good for half its rating
    assert dict(bank.house.engine)["alternator"] == 0.5 * 120 * 25.6


def test_a_contactor_that_the_supply_holds_in_breaks_the_energy_loop():
    held = (
        "    F3: {RCBO: 10 A, W11: 1.5 mm² 2 m, feeds: charger}\n    # kettle",
        "    F3: {RCBO: 10 A}\n    # kettle",
    )
    runs = (
        "  - ac:    [changeover, W7:",
        "  - ac:    [F3, W11: 1.5 mm² 2 m, held, W97: 1 m, charger]\n  - ac:    [changeover, W7:",
    )
    contactor = (
        "  body: structure\n",
        "  body: structure\n  held: {contactor: 16 A 2P, closed when: site live}\n",
    )
    loop, moved = LOOP
    with_contact = (moved[0], moved[1].replace(*held))
    (bank,) = studied(loop, with_contact, runs, contactor).energy.banks
    assert bank.loops == ()
    assert [charger for charger, _, _ in bank.house.chargers["site"]] == ["charger"]
