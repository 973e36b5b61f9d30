"""How many more kits each session could get before anything more must be bought."""

from opsreport.plan.model import FoodPlan
from opsreport.programme import Programme
from opsreport.tables.naming import listed
from opsreport.tables.orders.heads import planned_sessions
from opsreport.tables.table import Column, Row, Table


def room_table(programme: Programme, food: FoodPlan) -> Table:
    """One row a session, in order of packing: spare kits first, then what stock and orders would still fill."""
    sessions = planned_sessions(food)
    rooms = {room.session: room for room in food.room}
    columns = (
        Column("Session", "code", 9),
        Column("Group", "code", 9),
        Column("Packing day", "date", 16),
        Column("Session day", "date", 16),
        Column("Kits planned", "count", 8),
        Column("Spare among them", "count", 8),
        Column("Room for more", "count", 8),
        Column("Runs out first", width=40),
    )
    rows = []
    for name, session in sessions.items():
        room = rooms.get(name)
        if room is None:
            continue
        spare = sum(variant.spare for variant in session.variants)
        first = listed(room.runs_out, 4) if room.runs_out else "nothing: no food bounds it"
        rows.append(
            Row((name, session.group, session.packing_day, session.day, session.kits, spare, room.kits, first))
        )  # fmt: skip
    notes = (
        "For someone who enrols late. A spare kit goes first. Room for more is how many kits without swaps could be "
        "packed beside all the others from stock and from what is ordered, each session taken by itself.",
        "A table of a group that cooks together counts as one kit. Where there is no room, plan again: what is missing "
        "is then ordered.",
    )
    return Table(
        "Room",
        "Room for more kits",
        columns,
        tuple(rows),
        notes=notes if rows else (),
        empty="No session still to come needs any food.",
    )
