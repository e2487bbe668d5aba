"""What is to be seen to with combustion air that no plan can tell."""

from __future__ import annotations

from service.check.air_rooms import AirRooms
from service.design import Finding, Verdict
from service.rules.tables import table
from service.trades.air import DEFAULT


def advice(rooms: AirRooms, room: str, space: set[str]) -> tuple[Finding, ...]:
    """Advice on a heater that burns the air of a space; ``room`` is where it hangs."""
    told = (
        ("air.instructions", f"{DEFAULT}: have what they ask for compared", "NFPA 54 9.3.1.2 (read)"),
        ("air.dampers", _dampers(), "IFGC 304, NFPA 54 9.3 (memory)"),
        ("air.places", _places(), table("combustion_air").where(symbol="opening_band").text("section")),
        ("air.makeup", _makeup(rooms, space), "UMC/CPC 701 (read); IFGC 304 (memory)"),
    )
    return tuple(Finding(rule, Verdict.ADVICE, "air", room, text, citation=cited) for rule, text, cited in told)


def _dampers() -> str:
    mesh = table("combustion_air").constant("screen_mesh") * 1000
    return (
        "no manual damper in an opening or duct for combustion air, motorised ones proven open before the burner "
        f"fires; screens of no finer mesh than {mesh:.1f} mm"
    )


def _places() -> str:
    band, least = (table("combustion_air").constant(s) * 1000 for s in ("opening_band", "least_dimension"))
    return (
        f"of two openings one begins within {band:.0f} mm of the ceiling and one within {band:.0f} mm of the floor, a "
        f"single one within {band:.0f} mm of the ceiling; none is less than {least:.0f} mm across; ducts are as large "
        "as their openings, and the upper one never falls towards the outdoors"
    )


def _makeup(rooms: AirRooms, space: set[str]) -> str:
    flow, unknown = rooms.exhaust(space)
    told = f"fans take {flow * 1000:.1f} L/s out of the rooms that share air; " if flow > 0 else ""
    asked = f"not told of {', '.join(unknown)}; " if unknown else ""
    return f"{told}{asked}exhaust fans, hoods and dryers need make-up air of their own"
