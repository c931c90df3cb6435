"""Chapter: what is noticed when the supply goes and comes, who carries the load, how a changeover is measured."""

from typing import Any

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.description.kinds import Inverter
from asfitted.numbers import quantity
from asfitted.studies.transfer.brownout import Brownout
from asfitted.studies.transfer.changeovers import Changeover
from asfitted.studies.transfer.cut_outs import CutOuts
from asfitted.studies.transfer.dc_side import InverterStart
from asfitted.studies.transfer.dips import Dip
from asfitted.studies.transfer.filming import RATES, REPEATS, bounds_s, least_rate_hz, most_frames
from asfitted.studies.transfer.ride import Ride
from asfitted.studies.transfer.study import Transfer
from asfitted.studies.transfer.takeover import Takeover
from asfitted.studies.transfer.unattended import Returning
from asfitted.studies.transfer.ways import Way, other
from asfitted.tables.transfer import motor_start

#: a shorter time is no time to wait
LEAST_WAIT_S = 1.0


def context(book: Book) -> dict[str, Any]:
    """Return one section for each changeover, then the starts of motors and the order of cut-outs."""
    found = book.study.transfers
    return {
        "transfers": [
            _transfer(book, number, each, _returning(found.returning, each.changeover))
            for number, each in enumerate((t for t in found.transfers if t.changeover.crossings), 1)
        ],
        "pictures": book.time_lines,
        "alone": _alone(book, found.returning),
        "starts": [_start(book, start) for start in found.starts],
        "dips": [_dip(book, dip) for dip in found.dips],
        "cut_outs": [_cut_outs(book, each) for each in found.cut_outs],
        "films": [_film(book, each.changeover, way) for each in found.transfers for way in each.changeover.ways
                  if each.changeover.crossings],
        "rates": RATES,
        "repeats": REPEATS,
        "rest_min": (motor_start("least rest").value / 60, motor_start("longest rest").value / 60),
    }  # fmt: skip


def _names(book: Book, ids: tuple[str, ...]) -> str:
    return f" {words.text('transfer', 'or')} ".join(_quoted(book, id_) for id_ in ids)


def _quoted(book: Book, id_: str) -> str:
    """Return a name as it stands within a sentence: in quotes, for it has no article."""
    return words.text("transfer", "name", name=book.study.network.items[id_].name)


def _alone(book: Book, found: tuple[Returning, ...]) -> str:
    """Return what goes on by itself with a supply from outside: what heats and what may have a hand in it."""
    items = book.study.network.items
    outside = [r for r in found if any(items[s].kind != "battery" for s in r.sources)]
    return ", ".join(
        dict.fromkeys(r.behind.name for r in outside if r.by_itself and (r.behind.heats or r.moves))
    )


def _returning(found: tuple[Returning, ...], changeover: Changeover) -> tuple[Returning, ...]:
    """Return what goes on by itself when a source of a changeover comes back, on either side of it."""
    own = {*changeover.feeding("source 1"), *changeover.feeding("source 2")}
    return tuple(r for r in found if r.by_itself and own & {*r.sources})


def _transfer(book: Book, number: int, found: Transfer, returning: tuple[Returning, ...]) -> dict[str, Any]:
    changeover, network = found.changeover, book.study.network
    lost, back = changeover.to(other(changeover.preferred)), changeover.to(changeover.preferred)
    fates: dict[tuple[str, str], dict[str, Ride]] = {}
    for ride in found.rides:
        fates.setdefault((ride.outlet, ride.name), {})[ride.to] = ride
    loads: list[dict[str, Any]] = [
        {
            "name": name,
            "outlet": book.item(outlet),
            "lost": _ride(ride[lost.to]),
            "back": _ride(ride[back.to]),
        }
        for (outlet, name), ride in fates.items()
    ]
    return {
        "number": number,
        "item": book.item(changeover.item.id),
        "name": changeover.item.name,
        "supply": _names(book, changeover.feeding(changeover.preferred)),
        "stand_in": _names(book, changeover.feeding(other(changeover.preferred))),
        "itself": changeover.item.id in changeover.feeding(other(changeover.preferred)),
        "lost": _way(lost),
        "back": _way(back),
        "loads": loads,
        "bears": [row for row in loads if row["lost"]["rides"]],
        "delay_s": getattr(getattr(changeover.item.spec, "picks_up_above", None), "delay_s", None),
        "compressors": ", ".join(b.name for b in changeover.loads if b.load.duty == "compressor"),
        "waits_for_a_hand": ", ".join(b.name for b in changeover.loads if b.load.restarts == "by hand"),
        "takeovers": _takeovers(book, found.takeovers),
        "brownouts": [_brownout(book, each) for each in found.brownouts],
        "stops": book.things(tuple(c.charger for c in found.chargers if not c.then)),
        "goes_on": [
            {
                "charger": book.item(c.charger),
                "then": _quoted(book, c.then),
                "loop": isinstance(network.items[c.then].spec, Inverter),
            }
            for c in found.chargers
            if c.then
        ],
        "heat": ", ".join(dict.fromkeys(r.behind.name for r in returning if r.behind.heats)),
        "turns": ", ".join(dict.fromkeys(r.behind.name for r in returning if r.moves)),
        "from_battery": any(isinstance(network.items[k.taken].spec, Inverter) for k in found.takeovers),
    }


def _way(way: Way) -> dict[str, Any]:
    return {
        "time": quantity(way.judged_s, "s"),
        "known": way.judged_s is not None,
        "felt": way.judged_s is None or way.judged_s >= LEAST_WAIT_S,
        "basis": way.basis,
        "proved": way.proved,
        "claims": "; ".join(f"{quantity(c.value, 's')} {c.basis}" for c in way.claims) or "–",
        "slower": way.proved and way.claimed_s is not None and (way.judged_s or 0) > way.claimed_s,
    }


def _ride(ride: Ride) -> dict[str, Any]:
    return {
        "fate": words.text("transfer", f"fates.{ride.fate}"),
        "rides": quantity(ride.rides_s, "s") if ride.rides_s is not None else "",
        "source": ride.source,
    }


def _takeovers(book: Book, found: tuple[Takeover, ...]) -> list[dict[str, Any]]:
    """Return one entry for all losses after which the same source takes over the same load."""
    alike: dict[tuple[str, float], list[Takeover]] = {}
    for takeover in found:
        alike.setdefault((takeover.taken, takeover.lasting_a), []).append(takeover)
    return [
        _takeover(book, each[0]) | {"lost": _names(book, tuple(k.lost for k in each))}
        for each in alike.values()
    ]


def _takeover(book: Book, found: Takeover) -> dict[str, Any]:
    able = found.able
    return {
        "taken": _quoted(book, found.taken),
        "outcome": found.outcome,
        "said": words.text("transfer", f"outcomes.{found.outcome}"),
        "load": quantity(found.lasting_a * able.voltage_v, "W"),
        "current_a": found.lasting_a,
        "peak_a": found.peak_a,
        "carries": quantity(able.lasting_a * able.voltage_v, "W"),
        "carries_a": able.lasting_a,
        "surge_a": able.surge_a,
        "surge_s": able.surge_s,
        "limit_a": able.limit_a,
        "limit_s": able.limit_s,
        "then": able.then,
        "too_much": " + ".join(load.name for load in found.too_much),
        "heat": ", ".join(load.name for load in found.heat_returns),
        "off": ", ".join(step.behind.name for step in found.steps if not step.fits),
        "steps": [
            {
                "name": step.behind.name,
                "wait": quantity(step.wait_s, "s") if step.wait_s else "",
                "current_a": step.current_a,
                "total_a": step.total_a,
                "fits": step.fits,
            }
            for step in found.steps
        ],
    }


def _place(book: Book, supply: str, site: str) -> str:
    return ", ".join(part for part in (book.study.network.items[supply].name, site) if part)


def _brownout(book: Book, found: Brownout) -> dict[str, Any]:
    return {
        "place": _place(book, found.site.supply, found.site.name),
        "supply_v": found.supply_v,
        "loaded_v": found.loaded_v,
        "free_v": found.free_v,
        "drops_out_v": found.drops_out.value,
        "picks_up_v": found.picks_up.value,
        "source": found.drops_out.source,
        "behaviour": found.behaviour,
        "said": words.text("transfer", f"behaviours.{found.behaviour}"),
        "cycle": quantity(found.cycle_s, "s"),
    }


def _start(book: Book, found: InverterStart) -> dict[str, Any]:
    return {
        "inverter": book.item(found.inverter),
        "battery": book.item(found.battery),
        "load": found.start.behind.name,
        "start_a": abs(found.start.starting_a),
        "duration_s": found.start.duration_s,
        "assumed": found.start.verified != "read",
        "total_a": found.total_a,
        "most_a": found.able.most_a,
        "bounds": [
            {"age": bound.age, "current_a": bound.current_a, "voltage_v": bound.voltage_v}
            for bound in found.bounds
        ],
        "cut_out_v": found.cut_out_v,
        "fine": found.outcome == "carries" and not found.cuts_out,
        "unknown": found.outcome == "not known",
    }


def _dip(book: Book, found: Dip) -> dict[str, Any]:
    return {
        "load": found.start.behind.name,
        "place": _place(book, found.site.supply, found.site.name),
        "seen_at": book.item(found.seen_at),
        "change_a": found.change_a,
        "dip_v": found.dip_v,
        "percent": found.dip_percent,
        "limit": found.limit.value,
        "source": found.limit.source,
        "from_memory": found.limit.verified == "from memory",
        "holds": found.holds,
    }


def _cut_outs(book: Book, found: CutOuts) -> dict[str, Any]:
    dump = found.load_dump
    return {
        "inverter": book.item(found.inverter),
        "battery": book.item(found.battery),
        "inverter_v": found.inverter_v,
        "protection_v": found.protection_v,
        "protection_a": found.protection_a,
        "surge_a": found.surge_a,
        "order": found.order,
        "said": words.text("transfer", f"orders.{found.order}"),
        "dark": book.things(found.dark),
        "bereft": book.things(found.bereft),
        "dump": {
            "alternator": book.item(dump[0]),
            "least_v": dump[1].value,
            "greatest_v": dump[2].value,
            "source": dump[1].source,
        }
        if dump
        else None,
    }


def _film(book: Book, changeover: Changeover, way: Way) -> dict[str, Any]:
    """Return for one way how many dark frames prove the time that is claimed, at each frame rate."""
    claimed = way.claimed_s or way.judged_s
    lost = way.to != changeover.preferred
    return {
        "name": changeover.item.name,
        "lost": lost,
        "to": _names(book, changeover.feeding(way.to)),
        "claimed": quantity(claimed, "s"),
        "frames": [
            str(frames) if claimed and (frames := most_frames(claimed, rate)) is not None else "–"
            for rate in RATES
        ],
        "least_rate": f"{least_rate_hz(claimed):.0f}" if claimed else "–",
        "bounds": [quantity((bounds_s(10, rate)[1] - bounds_s(10, rate)[0]) / 2, "s") for rate in RATES],
    }
