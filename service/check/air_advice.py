"""What is to be seen to with combustion air that no plan can tell."""

from __future__ import annotations

from service.check.air_rooms import AirRooms
from service.design import Finding, Verdict
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


def _dampers() -> str:
    mesh = table("combustion_air").constant("screen_mesh") * 1000
    return (
        "no manual damper in an opening or duct for combustion air, motorised ones proven open before the burner "
        f"fires; screens of no finer mesh than {mesh:.1f} mm"
    )


def _places() -> tuple[str, str]:
    """Where openings lie, and the source."""
    found = table("combustion_air")
    band, least = (found.constant(s) * 1000 for s in ("opening_band", "least_dimension"))
    told = (
        f"of two openings one begins within {band:.0f} mm of the ceiling and one within {band:.0f} mm of the floor, a "
        f"single one within {band:.0f} mm of the ceiling; none is less than {least:.0f} mm across; ducts are as large "
        "as their openings, and the upper one never falls towards the outdoors"
    )
    return told, found.where(symbol="opening_band").text("section")


def _canadian_places() -> tuple[str, str]:
    """The same of an enclosure by the Canadian code."""
    found = table("combustion_air_ca_rates")
    low, high = (found.constant(f"enclosure_{end}") * 1000 for end in ("from", "to"))
    each = found.constant("enclosure_opening") / 1e6
    told = (
        f"if the heater stands in an enclosure, an opening into it of 1 mm2 for {each:.3f} W of input lies between "
        f"{low:.0f} and {high:.0f} mm over the floor"
    )
    return told, found.where(symbol="enclosure_opening").text("section")


def _makeup(rooms: AirRooms, space: set[str]) -> str:
    flow, unknown = rooms.exhaust(space)
    told = f"fans take {flow * 1000:.1f} L/s out of the rooms that share air; " if flow > 0 else ""
    asked = f"not told of {', '.join(unknown)}; " if unknown else ""
    return f"{told}{asked}exhaust fans, hoods and dryers need make-up air of their own"
