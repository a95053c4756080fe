"""Orders: what the panels hang on."""

from dataclasses import dataclass

from sqlalchemy import exists
from sqlalchemy import func
from sqlalchemy import or_
from sqlalchemy import select

from . import tables
from .pages import Page
from .pages import page_of
from .revisions import Revisions


@dataclass(frozen=True, slots=True)
class OrderSummary:
    """An order: how many panels it has, when the first came, and when one was last revised."""

    order: str
    panels: int
    created_at: str
    updated_at: str


class Orders(Revisions):
    """The part of the store that lists orders."""

    def orders(self, after: str | None = None, limit: int = 50, text: str | None = None) -> Page[OrderSummary]:
        """Return the orders after that one, by their name: all, or those with the text in their own or a panel's."""
        orders, panels = tables.orders.c, tables.panels.c
        query = select(orders.order_id).order_by(orders.order_id).limit(limit + 1)
        if after is not None:
            query = query.where(orders.order_id > after)
        if text is not None:
            folded = text.casefold()
            in_panel = panels.folded.contains(folded, autoescape=True)
            of_panel = exists(select(panels.order_id).where(panels.order_id == orders.order_id, in_panel))
            query = query.where(or_(orders.folded.contains(folded, autoescape=True), of_panel))
        some = query.subquery()
        counted = (
            select(orders.order_id, func.count(), orders.created_at, func.max(panels.changed_at))
            .join_from(tables.orders, tables.panels)
            .where(orders.order_id.in_(select(some.c.order_id)))
            .group_by(orders.order_id, orders.created_at)
            .order_by(orders.order_id)
        )
        with self._reading() as connection:
            found = [OrderSummary(*row) for row in connection.execute(counted)]
        return page_of(found, limit, lambda order: order.order)
