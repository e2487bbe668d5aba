"""The JSON forms of a survey and of a gas system, and the way from them to ``Survey`` and ``GasRequest``.

Numbers
    ``"units": "us"`` or ``"si"`` says in what bare numbers are:

    ==================================  =================  ===========
    quantity                            us                 si
    ==================================  =================  ===========
    length, height, coordinate          ft                 m
    power (gas input, meter capacity)   Btu/h              kW
    gas pressure, pressure drop         in w.c.            kPa
    water pressure, regulator inlet     psi                kPa
    flow                                gpm                L/min
    temperature                         degF               degC
    free area of openings for air       in2                mm2
    flow of air                         cfm                L/s
    hardness (as CaCO3)                 gpg                mg/L
    other concentrations                mg/L               mg/L
    use of water a day                  gal/day            L/day
    altitude                            ft                 m
    heating value                       Btu/ft3            MJ/m3
    electrical load                     W                  W
    ==================================  =================  ===========

    Anywhere, a number may instead be ``{"value": 24, "unit": "in"}`` with a unit of the closed list in
    ``service.units``, and a length may be ``{"ft": 7, "in": 6}``. JSON numbers only, never strings.
    Pure numbers (``efficiency``, ``fall``, ``specific_gravity``, ``diversity``) and ``price_cents`` have no unit.

Points
    ``[x, y]`` in plan or ``[x, y, z]``, each in any of the number forms. Heights are in the survey's own
    datum, that of the storeys' floors - except ``sill`` and ``head`` of openings and ``base`` and ``top`` of
    keep-outs, which count from the floor of their storey (of a neighbour's openings: from the wall's ``base``).

Document (``*`` compulsory; ids are made up where left out, except where others refer to them)::

    name*, units*
    site        rule_set, fuel ("natural_gas" | "propane"), heating_value, specific_gravity, altitude, snow_depth,
                winter_design_temperature, grade,
                grades[]          start*, end* (plan points), start_z*, end_z*
                lot_lines[]       id, start*, end*
                neighbour_walls[] id, start*, end*, base, top, openings[]
                ways[]            id, kind*, outline*, surface
                decks[]           id, outline*, underside*, top, open_sides, is_eave, vented
                air_inlets[]      id, kind*, at* [x, y], width, bottom*, top*
                regulators[]      id, at* [x, y, z], inlet_pressure, with_meter
                amendments[]      rule_id*, distance* (null switches the rule off), note*
                tight, air_changes (known infiltration, air changes an hour)
                flood_elevation (for equipment, freeboard included)
                extra_clearance (what terminals are kept farther from everything than the rule set asks)
                electrical_code (nec-2014, nec-2017, nec-2020, nec-2023, cec)
                relief ("pressure" | "temperature_and_pressure" | "by_listing"), relief_temperature (local limit)
                climate   monthly_air_temperatures[12], or annual_mean, warmest_month, coldest_month; south_of_equator
    storeys*[]  id, floor, ceiling,
                rooms*[]          id, use, outline* [[x, y], ...], finished, floor, ceiling, opens_only_into (room id),
                                  serviced_through_door, garage ("private" | "public"),
                                  enclosure (gasketed_self_closing_door, air_from_outdoors, nothing_stored),
                                  access (opening {width, height}, passage {length, width, height, floor_width,
                                  below_grade, lining_above_grade}, platform {depth, width}, light, receptacle,
                                  removable_through_opening),
                                  joined[] (room*, by* ("doorless" | "openings"), top_area, bottom_area: rooms that
                                  share its air), exhaust_flow (what fans take out of it), under_roof
                openings*[]       id, kind* ("window" | "door" | "garage_door"), from*, to*, sill, head, operable,
                                  swings_out
                walls[]           id, start*, end*, kind, thickness
                keep_outs[]       id, kind, outline*, base, top
    gas*        delivery_node*, pressure, meter_capacity or meter_class, service_regulator_capacity, allowable_drop,
                method, fittings, diversity (above 0, up to 1), branch_materials[],
                nodes*[]          id*, at* [x, y, z]
                segments[]        id, start*, end* (node ids), material*, size (left out: new pipe, to be sized),
                                  length, elbows, tees, finished, fixed, before_regulator
                appliances[]      id, kind*, input (left out: typical of its kind), direct_vent, room, node*,
                                  inlet_min, inlet_max, fan_assisted, vent_diameter (0: it has no vent)
                free_outlets[]    node ids
                regulators[]      node*, outlet_pressure*, allowable_drop, capacity, loss (line regulators)
                pressure_options[] id, pressure*, allowable_drop*, regulated_pressure, regulated_drop
    water*      cold*[], hot*[]   id, points* [[x, y, z], ...], size*, material*
                static_pressure, equipment_loss (meter, softener and the like at full draw), reducing_valve_setting,
                branch_material ("copper_l"), hardness, softener, occupants, daily_use, setpoint,
                check_valve, reducing_valve (between main and heater), expansion_tank, mixing_valve,
                relief_discharge  end, size, end_height, air_gap_in_room, serves_one, harmless, visible_end, trapped,
                                  falls, threaded_end, valves_or_tees, listed_material, insert_fittings, end_fastened
                analysis          ph, tds, calcium_hardness, alkalinity, chloride, iron, temperature
                fixtures[]        id, kind*, at*, flow (left out: the usual one of a known kind), count, use_temperature
                demand            method ("concurrent_use" | "fixture_units" | "probabilistic"), at_once[[fixture ids]]
                                  (sets that run together), use_temperature
                inlet_temperature (measured, coldest of the year)
    chases[]    id, outline*, base*, top* (survey datum)
    drains[]    id, at*
    receptacles[] id, at*, is_panel, gfci, free_spaces, panel_voltage (of a panel),
                circuit {voltage V, breaker A, present_load, fixed_load, dedicated, wire AWG, wire_length}
    heaters[]   id of the catalogue, or an own entry: the fields of ``service.survey.equipment.Heater`` without
                their unit suffixes (``input_max``, ``width``, ``vent.max_equivalent``, ...); ``outdoor`` (flue {dx,
                up, radius, judged_as}, clearances, openings, min_temperature) if it may hang outdoors, and then
                ``vent`` may be left out
    prices      book ("demo"), items {key: whole cents} over the book's; cents an item, and
                for what goes by length a foot in "us" and a metre in "si"
    what_about[] id, mount (room*, at* [x, y], height over the room's floor),
                terminal (at* [x, y], height over the ground), dwelling (whose heater; with dwellings*)
    explain     different (how many designs that differ), trade_offs[] ("waiting" | "margin"), waiting_step (seconds),
                margin_step, sureness, certificate (what is needed to re-check the proof)
    dwellings[] id, rooms[], heaters[], water_lines[], fixtures[], drains[], receptacles[], gas_taps[] (ids of what one
                of several heaters may use; left out: all)
    preferences rooms_refused[], rooms_wanted[] (room ids), outdoors ("allowed" | "refused", the default), alternatives,
                solver_seconds, water_items[],
                waiting_cents_per_second (what a second less of waiting for hot water is worth), recirculation

A gas system alone (``load_gas``; a whole survey will do as well, its gas is then taken)::

    name*, units*, fuel, heating_value, specific_gravity, altitude, prices
    gas*        as above, but ``nodes`` may be left out (their ids are then the ends of the segments), and each segment
                gives its length
    heater      input*, inlet_min, inlet_max, node*: the planned one, one appliance more

What is left out takes a default, and each default taken is a sentence in ``Survey.assumptions``.
Outlines run counter-clockwise and are not closed; a clockwise or closed outline, and a repeated point, is set
right and told of in ``Survey.warnings``. Nothing else is repaired.
"""

from service.http.schemas.gas_body import load_gas
from service.http.schemas.load import load_survey

__all__ = ["load_gas", "load_survey"]
