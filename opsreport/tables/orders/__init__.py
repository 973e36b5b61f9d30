"""The documents about ordering: purchase orders, calendar, needs, packs, stock, shopping list, cost."""

from opsreport.plan.model import Changes, FoodPlan
from opsreport.programme import Programme
from opsreport.tables.orders.changes import changes
from opsreport.tables.orders.costs import costs
from opsreport.tables.orders.needs import needs
from opsreport.tables.orders.order_calendar import order_calendar
from opsreport.tables.orders.packs import where_packs_go
from opsreport.tables.orders.purchase_orders import purchase_orders
from opsreport.tables.orders.shopping import shopping_list
from opsreport.tables.orders.stock import stock
from opsreport.tables.table import Document


def order_documents(programme: Programme, food: FoodPlan, since: Changes | None = None) -> list[Document]:
    """Everything under `orders/`: a purchase order an order, as the plan lists them, none for parts of orders that are
    placed for several workbooks; then seven documents that are always there and say so where they have nothing to list.

    Nothing in them tells who has a need, and no person but the programme's own contact is named.
    """
    return [
        *([] if food.pooled == "part" else purchase_orders(programme, food)),
        changes(programme, food, since),
        order_calendar(programme, food),
        needs(programme, food),
        where_packs_go(programme, food),
        stock(programme, food),
        shopping_list(programme, food),
        costs(programme, food),
    ]
