"""How a step of troubleshooting, what may be seen there and a failure are said on a page."""

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.numbers import quantity, tied
from asfitted.studies.troubleshooting import failures, observe
from asfitted.studies.troubleshooting.failures import Failure
from asfitted.studies.troubleshooting.observe import Observation
from asfitted.studies.troubleshooting.tree import Outcome

_LISTED = ("alive", "levers", "direct alive", "unplugged", "one alone", "lamps")


def said(key: str, **fields: object) -> str:
    """Return one sentence of the catalogue."""
    return tied(words.text("troubleshooting", key, **fields))


def name(book: Book, id_: str) -> str:
    """Return the name of equipment, of a cable, or of the device that protects the outlet of a supply."""
    items = book.study.network.items
    if id_ in items:
        return items[id_].name
    supply = id_.removesuffix(" upstream")
    return said("ashore", supply=items[supply].name) if supply in items else id_


def todo(book: Book, observation: Observation) -> str:
    """Return what is done at a step."""
    observer = book.study.troubleshooting.observer
    everything = {
        "alive": observer.outlets,
        "levers": observer.levers,
        "direct alive": observer.direct_loads,
    }.get(observation.code, ())
    pair, _, loaded = observation.detail.partition(" ")
    bars = book.study.subject.bars
    return said(
        f"do.{observation.code}",
        state=_state(book, observation),
        at=name(book, observation.at),
        all=_list(book, everything),
        meter=said("meters.loaded" if loaded else "meters.voltmeter"),
        pair=pair.replace("-", "–"),
        rated=quantity(observer.least_residual_a, "A"),
        bar=name(book, bars[0]) if bars else "",
        terminal=_terminal(book, observation.at) if observation.code == "neutral earth" else "",
    )


def _terminal(book: Book, terminal: str) -> str:
    """Return a terminal in words: `changeover, source 1`."""
    owner = book.study.network.owner[terminal]
    port = terminal.removeprefix(owner).strip(".").rpartition(".")[0]
    return ", ".join(part for part in (name(book, owner), port) if part)


def _state(book: Book, observation: Observation) -> str:
    text = book.state_names[observation.state] if observation.state else ""
    return text[:1].upper() + text[1:]


def _list(book: Book, ids: Outcome) -> str:
    return ", ".join(name(book, id_) for id_ in ids)


def seen(book: Book, observation: Observation, outcome: Outcome) -> str:
    """Return one thing that may be seen at a step."""
    code, observer = observation.code, book.study.troubleshooting.observer
    nominal, battery = observer.workshop.bench.nominal_v, observer.battery_v
    figures = {
        "nothing": quantity(observe.NOTHING * nominal, "V", 2),
        "full": quantity(observe.FULL * nominal, "V", 2),
        "high": quantity(observe.HIGH * nominal, "V", 2),
        "falls": quantity(observe.FALLS * nominal, "V", 2),
        "along": quantity(observe.ALONG_OHM, "ohm", 2),
        "open": quantity(observe.OPEN_OHM, "ohm", 2),
        "joined": quantity(observe.JOINED_OHM, "ohm", 2),
        "lost": quantity(observe.LOST * battery, "V", 2),
        "gone": quantity(observe.OPEN_SHARE * battery, "V", 2),
        "battery": quantity(observe.NOTHING * battery, "V", 2),
    }
    if code in ("along", "ends") and outcome:
        parts = (part.rpartition(" ") for part in outcome)
        texts = (
            said(f"{code}.{how}", conductor=said(f"conductors.{conductor}"), **figures)
            for conductor, _, how in parts
        )
        return ", ".join(texts)
    if code in _LISTED or not outcome:
        whole = {"alive": observer.outlets, "direct alive": observer.direct_loads}.get(code)
        key = "none" if not outcome else "all" if outcome == whole and len(outcome) > 1 else "some"
        return said(f"see.{code}.{key}", list=_list(book, outcome), **figures)
    return said(f"see.{code}.{outcome[0]}", **figures)


def failure_name(book: Book, failure: Failure) -> str:
    """Return a failure in words."""
    conductor = failure.stays[1] if failure.stays else failure.conductor
    at = name(book, failure.at) if failure.at else ""
    if failure.kind == "second bond" and conductor:
        at = f"{at}, {conductor}"
    known = words.catalogue("troubleshooting")["conductors"]
    return said(f"failures.{failure.kind}.name", at=at, conductor=known.get(conductor, conductor))


def remedy(kind: failures.FailureKind) -> str:
    """Return what is done about a kind of failure."""
    return said(f"failures.{kind}.do")


def kind_name(kind: failures.FailureKind) -> str:
    """Return what a kind of failure is called, as a line begins."""
    text = said("kinds.sound") if kind == "sound" else kind
    return text[:1].upper() + text[1:]
