"""Answers as plain text for a reader: the decision first, then money, then what is tight."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from service.air_summary import air_line
from service.demand_summary import design_hot_water
from service.dwellings_summary import dwelling_lines
from service.explain_summary import explain_lines
from service.gas_summary import design_gas
from service.here_summary import deadlock_lines, here_lines
from service.http.compass import NORTH
from service.power_summary import power_line
from service.waiting_summary import design_water
from service.water_summary import water_lines
from service.words import length_text

Json = dict[str, Any]

_TIGHTEST_OF_TERMINAL, _TIGHTEST_OF_REST = 5, 3
_LARGEST = 3
_TERMINALS = ("terminal", "intake")


def placement_text(answer: Json) -> str:
    """Summary of a placement."""
    designs = answer["designs"]
    lines = _decision(designs[0], answer) if designs else _no_design(answer)
    if answer["dwellings"]:
        lines = _together(answer)
    return "\n".join(
        [*lines, *deadlock_lines(answer), *here_lines(answer), *explain_lines(answer), "", *_notes(answer)]
    )


def _together(answer: Json) -> list[str]:
    return [*status_lines(answer), *dwelling_lines(answer, _place, _leaves_by), *alarm_lines(answer)]


def check_text(answer: Json) -> str:
    """Summary of a check: the verdict, then every finding that is no plain pass, what is not given, the tightest."""
    of_dwellings = [f for d in answer["dwellings"] or () for f in d["findings"]]
    findings = [*answer["findings"], *of_dwellings]
    open_points = [f for f in findings if f["verdict"] in ("fail", "unknown")]
    lines = [_verdict(answer, len(open_points)), *(f"  {_finding_text(f, answer)}" for f in open_points)]
    if answer["not_given"]:
        lines += ["", "Not given, not judged", *(f"  {p['part']}: {p['leaves_open']}" for p in answer["not_given"])]
    lines += ["", "Tightest clearances", *_tightest(findings, answer), "", *_notes(answer)]
    return "\n".join(lines)


def _verdict(answer: Json, broken: int) -> str:
    if answer["lawful"]:
        return "LAWFUL"
    if answer["lawful_as_far_as_given"]:
        return "LAWFUL AS FAR AS GIVEN: the design is not whole"
    return f"NOT LAWFUL: {broken} findings"


def clearances_text(answer: Json) -> str:
    """Summary of a clearance map: free area of each surface."""
    area = answer["units"]["area"]
    lines = [f"Free area by surface; {NORTH}"]
    for region in [*answer["facades"], *answer["walls"], *answer["roofs"]]:
        rules = sorted({z["rule"] for z in region["zones"]})
        where = f"{region['surface']} ({region['room'] or region['side'] or region['kind']})"
        share = f"{region['free']:.2f} of {region['total']:.2f} {area}"
        lines.append(f"  {where} - {region['applies_to']}: {share}; {', '.join(rules) or 'nothing forbids'}")
    return "\n".join([*lines, "", *_notes(answer)])


def decision_lines(design: Json, answer: Json) -> list[str]:
    """What hangs where, how it vents, where its air and power come from: a term and what is said of it each."""
    mount, heater = design["mount"], design["heater"]
    return [
        f"Heater    {heater['name']} ({heater['id']})",
        _hangs(mount, answer),
        f"Vents     {_vents(mount, design['terminal'], answer)}",
        *_intake(design, answer),
        *([air_line(design, answer)] if "wall" in mount else []),
        *([power_line(design)] if "power" in design else []),
    ]


def _decision(design: Json, answer: Json) -> list[str]:
    return [
        *decision_lines(design, answer),
        *status_lines(answer),
        "",
        "Runs",
        *(_run(route, answer) for route in design["routes"]),
        "",
        "Gas",
        *design_gas(design, answer),
        *design_hot_water(design),
        "",
        "Water",
        *water_lines(design),
        "",
        "Pressure and waiting",
        *design_water(design, answer),
        "",
        "Cost by trade",
        *_costs(design["cost"]),
        "",
        "Tightest clearances",
        *_tightest(design["clearances"], answer),
        *alarm_lines(answer),
        *alternative_lines(answer),
    ]


def _vents(mount: Json, terminal: Json, answer: Json) -> str:
    """Where the vent ends, in a facade or over a roof."""

    def say(name: str) -> str:
        return length_text(terminal[name], answer)

    if "roof" in terminal:
        ceiling = (
            "" if terminal["height_above_ceiling"] is None else f", {say('height_above_ceiling')} above the ceiling"
        )
        place = f"up at {_point(terminal, answer)} through {terminal['roof']}, pitch {terminal['pitch']:g} in 12"
        return f"{place}: its opening {say('height_above_roof')} above the roof{ceiling}"
    return (
        f"{_outlet(mount)} facade {terminal['facade']}, which looks {terminal['side']} ({NORTH}): "
        f"{say('distance_along')} from its left-hand end seen from outside at "
        f"{_point(terminal['from_end'], answer)}, {say('height_above_grade')} above grade"
    )


def _hangs(mount: Json, answer: Json) -> str:
    edge = f"case's left edge {length_text(mount['distance_to_left_edge'], answer)}"
    if "wall" in mount:
        return (
            f"Hangs     in {mount['room']} on wall {mount['wall']}: {edge} from the left-hand corner at "
            f"{_point(mount['from_corner'], answer)}, underside {length_text(mount['bottom_height'], answer)} above "
            "the floor"
        )
    return (
        f"Hangs     outdoors on facade {mount['facade']}, which looks {mount['side']}: {edge} from its left-hand end "
        f"seen from outside at {_point(mount['from_end'], answer)}, underside "
        f"{length_text(mount['height_above_grade'], answer)} above grade"
    )


def _outlet(mount: Json) -> str:
    return "through" if "wall" in mount else "by its flue outlet before"


def _intake(design: Json, answer: Json) -> Iterator[str]:
    """Where a twin-pipe vent's intake begins."""
    intake, vent = design["intake"], design.get("vent_system")
    told = vent and vent["intake"]
    if intake is not None and told is not None:
        far, along, up = (
            length_text(mm, answer) for mm in (told["apart"], intake["distance_along"], intake["height_above_grade"])
        )
        yield (
            f"Intake    {far} {told['side']} of it, centre to centre, seen from outside: {along} from the left-hand "
            f"end, {up} above grade"
        )


def status_lines(answer: Json) -> list[str]:
    """How the search ended, and within what its proof holds."""
    gap = "" if answer["gap"] is None else f", gap {answer['gap']:.2%}"
    money = answer["units"]["money"]
    bound = "" if answer["bound"] is None else f", bound {answer['bound']:,.2f} {money}"
    cost = "" if answer["cost"] is None else f", cost {answer['cost']:,.2f} {money}"
    if answer["weighed_waiting"] is not None:
        cost += f" and waiting weighed at {answer['weighed_waiting']:,.2f}, together {answer['objective']:,.2f}"
    return [f"Status    {answer['status']}{cost}{bound}{gap}", f"Scope     {answer['scope']}"]


def _run(route: Json, answer: Json) -> str:
    limit = ""
    if route["equivalent_length"] is not None and route["limit"] is not None:
        equivalent, most = (length_text(route[k], answer) for k in ("equivalent_length", "limit"))
        limit = f", equivalent {equivalent} of at most {most}"
    run = f"  {route['service']:<6} {route['option']:<8} to {route['ends_at']}: {length_text(route['length'], answer)}"
    return f"{run}, {_count(route['elbows'], 'elbow')}{limit}{', pumped' if route['pumped'] else ''}"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _costs(cost: Json) -> Iterator[str]:
    width = max([len(part["trade"]) for part in cost["by_trade"]] + [5])
    for part in cost["by_trade"]:
        yield f"  {part['trade']:<{width}} {part['amount']:>12,.2f}"
    yield f"  {'total':<{width}} {cost['total']:>12,.2f} {cost['currency']}"


def _tightest(findings: list[Json], answer: Json) -> list[str]:
    """Smallest margins of the terminals, then of the rest, which would else crowd them out."""
    measured = [f for f in findings if f["margin"] is not None]
    terminal = [f for f in measured if f["subject"] in _TERMINALS][:_TIGHTEST_OF_TERMINAL]
    rest = [f for f in measured if f["subject"] not in _TERMINALS][:_TIGHTEST_OF_REST]
    return [f"  {_finding_text(f, answer)}" for f in terminal + rest] or ["  none measured"]


def _finding_text(finding: Json, answer: Json) -> str:
    head = f"{finding['verdict']:<7} {finding['rule']}: {finding['subject']}{_object(finding)}"
    distance = ""
    if finding["margin"] is not None:
        needed, found, margin = (length_text(finding[k], answer) for k in ("required", "actual", "margin"))
        distance = f" needs {needed}, has {found}, margin {margin}"
        if finding["short_by"] is not None:
            distance = f" needs {needed}, has {found}, short by {length_text(finding['short_by'], answer)}"
    site = " - verify on site" if finding["verify_on_site"] else ""
    missing = f" - not known: {finding['missing']}" if finding["missing"] else ""
    return f"{head}{distance}{site}{missing} [{finding['citation']}]"


def _object(finding: Json) -> str:
    """What was measured to; a rule of the vent speaks of the vent's own system."""
    if not finding["object"]:
        return ""
    return f" system {finding['object']}" if finding["rule"].startswith("vent.") else f" to {finding['object']}"


def alarm_lines(answer: Json) -> list[str]:
    """Where carbon monoxide alarms are asked for with the first design."""
    asked = [a for a in answer["alarms"] if not a["designs"] or 1 in a["designs"]]
    return ["", "Alarms", *(f"  {a['what']}: {a['where']} [{a['citation']}]" for a in asked)] if asked else []


def alternative_lines(answer: Json) -> list[str]:
    """The other designs, a heading before them; nothing where there are none."""
    others = answer["designs"][1:]
    if not others:
        return []
    money = answer["units"]["money"]
    rows = [
        f"  {d['rank']}. {d['cost']['total']:,.2f} {money}: {d['heater']['id']} {_place(d['mount'])}, vents "
        f"{_outlet(d['mount'])} {_leaves_by(d['terminal'])}"
        for d in others
    ]
    return ["", "Alternatives", *rows]


def _leaves_by(terminal: Json) -> str:
    return str(terminal["roof"]) if "roof" in terminal else f"{terminal['facade']} ({terminal['side']})"


def _place(mount: Json) -> str:
    return f"in {mount['room']} on {mount['wall']}" if "wall" in mount else f"outdoors on {mount['facade']}"


def _no_design(answer: Json) -> list[str]:
    lines = status_lines(answer)
    if answer["coverage"]:
        heading = "What forbids: free part of each facade and wall, and what each rule takes, mean of all heaters"
        lines += ["", f"{heading}; {NORTH}"]
    surfaces: dict[str, list[Json]] = {}
    for part in answer["coverage"]:
        surfaces.setdefault(part["surface"], []).append(part)
    return lines + [_coverage(parts, answer) for parts in surfaces.values()]


def _coverage(parts: list[Json], answer: Json) -> str:
    """One surface, over all that was to go there."""
    first = parts[0]
    shares: dict[str, float] = {}
    for rule in (r for part in parts for r in part["by_rule"]):
        shares[rule["rule"]] = shares.get(rule["rule"], 0.0) + rule["share"] / len(parts)
    largest = sorted(shares, key=lambda rule: (-shares[rule], rule))[:_LARGEST]
    rules = ", ".join(f"{rule} {shares[rule]:.0%}" for rule in largest)
    free = [part["free"] / part["total"] if part["total"] else 0.0 for part in parts]
    span = f"{min(free):.0%}" if f"{min(free):.0%}" == f"{max(free):.0%}" else f"{min(free):.0%} to {max(free):.0%}"
    left = _point(first["from"], answer)
    where = f"in {first['room']}" if first["room"] else f"looking {first['side']}, left end at {left}"
    where = f"corner at {left}" if first["kind"] == "roof" else where
    return f"  {first['kind']} {first['surface']}, {where}: {span} free; {rules or 'nothing forbids'}"


def _notes(answer: Json) -> Iterator[str]:
    engine = answer["engine"]
    yield f"Assumptions: {len(answer['assumptions'])} (all in the JSON answer)"
    for kind in ("warnings", "cautions"):
        if answer.get(kind):
            yield f"{kind.capitalize()}:"
            yield from (f"  - {sentence}" for sentence in answer[kind])
    yield f"Rule set {engine['rule_set']}, price book {engine['price_book']}, {engine['name']} {engine['version']}"


def _point(anchor: Json, answer: Json) -> str:
    x, y = anchor["point"]
    return f"({x:.2f}, {y:.2f}) {answer['units']['length']}"
