"""The ways to stock, materials, suppliers, orders and rewards: each screen names the next one here."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from textual.app import App

    class _Base(App[Any]):
        async def _go(self, name: str) -> None: ...
else:
    _Base = object


class StockWays(_Base):
    """Mixed into the app, before App. Screens are imported where they are first opened, to keep the start short."""

    async def action_go_stock(self) -> None:
        await self._go("stock")

    async def show_stock(self, view: str, row_id: Hashable | None = None) -> None:
        """The stock page at one of its lists (see tui/stock_views.py), with the cursor on a row of it."""
        from tui.screens.stock import StockScreen

        await self._go("stock")
        await self._go("stock")  # once there, back from what was opened out of it
        if isinstance(self.screen, StockScreen):
            self.screen.show_view(view, row_id)

    def open_material(self, material_id: int) -> None:
        from tui.screens.material import MaterialScreen

        self.push_screen(MaterialScreen(material_id))

    def change_material(self, material_id: int | None) -> None:
        """The form of a material; None makes a new one."""
        from tui.screens.material_form import MaterialFormScreen

        self.push_screen(MaterialFormScreen(material_id))

    def change_supplier(self, supplier_id: int | None) -> None:
        """The form of a supplier; None makes a new one."""
        from tui.screens.supplier_form import SupplierFormScreen

        self.push_screen(SupplierFormScreen(supplier_id))

    def change_reward(self, reward_id: int | None) -> None:
        """The form of a reward; None makes a new one."""
        from tui.screens.reward_form import RewardFormScreen

        self.push_screen(RewardFormScreen(reward_id))

    def open_order(self, order_id: int) -> None:
        from tui.screens.order import OrderScreen

        self.push_screen(OrderScreen(order_id))

    def place_order(self, supplier_id: int, wanted: Sequence[tuple[int, int]] = ()) -> None:
        """The form of an order to a supplier; wanted: (material's number, packs) to begin with."""
        from tui.screens.place_order import PlaceOrderScreen

        self.push_screen(PlaceOrderScreen(supplier_id, wanted))
