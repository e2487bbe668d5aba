"""What is to be seen to with combustion air that no plan can tell."""

from __future__ import annotations

from service.check.air_rooms import AirRooms
from service.design import Finding, Verdict
from service.phrases import Detail, m3_s, mm, phrase
from service.rules.tables import table
from service.trades.air import DEFAULT


def advice(rooms: AirRooms, room: str, space: set[str], canada: bool) -> tuple[Finding, ...]:
    """Advice on a heater that burns the air of a space; ``room`` is where it hangs, ``canada`` whose code holds."""
    told = (
        ("air.instructions", f"{DEFAULT}: have what they ask for compared", "NFPA 54 9.3.1.2 (read)"),
        ("air.dampers", _dampers(), "IFGC 304, NFPA 54 9.3 (memory)"),
        ("air.places", *(_canadian_places() if canada else _places())),
        ("air.makeup", _makeup(rooms, space), "UMC/CPC 701 (read); IFGC 304 (memory)"),
    )
    return tuple(Finding(rule, Verdict.ADVICE, "air", room, text, citation=cited) for rule, text, cited in told)


def _dampers() -> Detail:
    mesh = table("combustion_air").constant("screen_mesh") * 1000
    return phrase(
        "no manual damper in an opening or duct for combustion air, motorised ones proven open before the burner "
        "fires; screens of no finer mesh than ", mm(mesh, 1),
    )  # fmt: skip


def _places() -> tuple[Detail, str]:
    """Where openings lie, and the source."""
    found = table("combustion_air")
    band, least = (mm(found.constant(s) * 1000) for s in ("opening_band", "least_dimension"))
    told = phrase(
        "of two openings one begins within ", band, " of the ceiling and one within ", band, " of the floor, a single "
        "one within ", band, " of the ceiling; none is less than ", least, " across; ducts are as large as their "
        "openings, and the upper one never falls towards the outdoors",
    )  # fmt: skip
    return told, found.where(symbol="opening_band").text("section")


def _canadian_places() -> tuple[Detail, str]:
    """The same of an enclosure by the Canadian code."""
    found = table("combustion_air_ca_rates")
    low, high = (mm(found.constant(f"enclosure_{end}") * 1000) for end in ("from", "to"))
    each = found.constant("enclosure_opening") / 1e6
    told = phrase(
        f"if the heater stands in an enclosure, an opening into it of 1 mm2 for {each:.3f} W of input lies between ",
        low, " and ", high, " over the floor",
    )  # fmt: skip
    return told, found.where(symbol="enclosure_opening").text("section")


def _makeup(rooms: AirRooms, space: set[str]) -> Detail:
    flow, unknown = rooms.exhaust(space)
    told = phrase("fans take ", m3_s(flow, 1), " out of the rooms that share air; ") if flow > 0 else ""
    asked = f"not told of {', '.join(unknown)}; " if unknown else ""
    return phrase(told, f"{asked}exhaust fans, hoods and dryers need make-up air of their own")
