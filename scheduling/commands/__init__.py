"""Everything that changes a studio, by name: `commands.Book(...)`.

A command's module is loaded when it is first named, since checking requests at their door needs a library that would
cost the first screen a third of its start.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Any, Protocol

if TYPE_CHECKING:
    from scheduling.commands.bills import ChangeBillLine as ChangeBillLine
    from scheduling.commands.bills import ChooseKitOptions as ChooseKitOptions
    from scheduling.commands.bills import LetTakeNewVersion as LetTakeNewVersion
    from scheduling.commands.bills import SetBill as SetBill
    from scheduling.commands.bills import SetBillTools as SetBillTools
    from scheduling.commands.bills import SetMeasures as SetMeasures
    from scheduling.commands.bills import TakeNewVersion as TakeNewVersion
    from scheduling.commands.bookings import Book as Book
    from scheduling.commands.bookings import CancelBooking as CancelBooking
    from scheduling.commands.bookings import MarkSeat as MarkSeat
    from scheduling.commands.bookings import NameSeat as NameSeat
    from scheduling.commands.bookings import SettleBooking as SettleBooking
    from scheduling.commands.classes import ChangeClassDate as ChangeClassDate
    from scheduling.commands.classes import MakeClassDate as MakeClassDate
    from scheduling.commands.classes import MarkTaught as MarkTaught
    from scheduling.commands.classes import MoveClassDate as MoveClassDate
    from scheduling.commands.classes import RunAgain as RunAgain
    from scheduling.commands.costs import AddClassCost as AddClassCost
    from scheduling.commands.costs import DropClassCost as DropClassCost
    from scheduling.commands.costs import SetClassMoney as SetClassMoney
    from scheduling.commands.costs import SetKitCost as SetKitCost
    from scheduling.commands.costs import SetStudioMoney as SetStudioMoney
    from scheduling.commands.costs import SetVenueCosts as SetVenueCosts
    from scheduling.commands.cutting import CutSheets as CutSheets
    from scheduling.commands.day import CountTools as CountTools
    from scheduling.commands.day import GiveKit as GiveKit
    from scheduling.commands.day import MarkNoShow as MarkNoShow
    from scheduling.commands.day import SetCollectors as SetCollectors
    from scheduling.commands.day import SetRunSheet as SetRunSheet
    from scheduling.commands.day import SignIn as SignIn
    from scheduling.commands.day import SignOut as SignOut
    from scheduling.commands.decisions import Decide as Decide
    from scheduling.commands.erasing import ErasePerson as ErasePerson
    from scheduling.commands.heads import AddHeads as AddHeads
    from scheduling.commands.heads import SetHeads as SetHeads
    from scheduling.commands.importing import KeepBusyTimes as KeepBusyTimes
    from scheduling.commands.importing import KeepSignUps as KeepSignUps
    from scheduling.commands.kit_rules import SetKitRules as SetKitRules
    from scheduling.commands.kit_runs import BeginKitRun as BeginKitRun
    from scheduling.commands.kit_runs import NoteKits as NoteKits
    from scheduling.commands.kit_runs import PostKit as PostKit
    from scheduling.commands.kit_runs import ReturnKits as ReturnKits
    from scheduling.commands.kit_runs import TickKits as TickKits
    from scheduling.commands.materials import AddMaterial as AddMaterial
    from scheduling.commands.materials import ChangeMaterial as ChangeMaterial
    from scheduling.commands.materials import KeepTool as KeepTool
    from scheduling.commands.materials import RetireMaterial as RetireMaterial
    from scheduling.commands.messages import ChangeDraft as ChangeDraft
    from scheduling.commands.messages import DraftMessages as DraftMessages
    from scheduling.commands.messages import DraftNews as DraftNews
    from scheduling.commands.messages import MarkMessage as MarkMessage
    from scheduling.commands.messages import SetMail as SetMail
    from scheduling.commands.messages import SetTemplate as SetTemplate
    from scheduling.commands.offers import AcceptOffer as AcceptOffer
    from scheduling.commands.offers import OfferSeats as OfferSeats
    from scheduling.commands.offers import RefuseOffer as RefuseOffer
    from scheduling.commands.offers import SettleLapsed as SettleLapsed
    from scheduling.commands.orders import CancelOrder as CancelOrder
    from scheduling.commands.orders import PlaceOrder as PlaceOrder
    from scheduling.commands.orders import PromiseOrder as PromiseOrder
    from scheduling.commands.orders import ReceiveOrder as ReceiveOrder
    from scheduling.commands.parties import AddCharge as AddCharge
    from scheduling.commands.parties import DropCharge as DropCharge
    from scheduling.commands.parties import GiveFinalCount as GiveFinalCount
    from scheduling.commands.payments import GiveCredit as GiveCredit
    from scheduling.commands.payments import GiveRefund as GiveRefund
    from scheduling.commands.payments import MarkBounced as MarkBounced
    from scheduling.commands.payments import SettleByTerms as SettleByTerms
    from scheduling.commands.payments import TakePayment as TakePayment
    from scheduling.commands.payments import UseCredit as UseCredit
    from scheduling.commands.people import AddPerson as AddPerson
    from scheduling.commands.people import ChangePerson as ChangePerson
    from scheduling.commands.people import RetirePerson as RetirePerson
    from scheduling.commands.planning import BringHelper as BringHelper
    from scheduling.commands.planning import DoTogether as DoTogether
    from scheduling.commands.planning import KeepPlan as KeepPlan
    from scheduling.commands.planning import LayAfresh as LayAfresh
    from scheduling.commands.planning import PartTasks as PartTasks
    from scheduling.commands.planning import PinTask as PinTask
    from scheduling.commands.planning import SetDay as SetDay
    from scheduling.commands.planning import TakeMinutes as TakeMinutes
    from scheduling.commands.planning import UnpinTask as UnpinTask
    from scheduling.commands.prep import AddTask as AddTask
    from scheduling.commands.prep import ChangeTask as ChangeTask
    from scheduling.commands.prep import DropTask as DropTask
    from scheduling.commands.prep import LogMinutes as LogMinutes
    from scheduling.commands.prep import TickTask as TickTask
    from scheduling.commands.projects import AddProject as AddProject
    from scheduling.commands.projects import ChangeProject as ChangeProject
    from scheduling.commands.projects import RetireProject as RetireProject
    from scheduling.commands.promotions import AddPromotion as AddPromotion
    from scheduling.commands.promotions import ChangePromotion as ChangePromotion
    from scheduling.commands.promotions import EndPromotion as EndPromotion
    from scheduling.commands.recipes import AddRecipeLine as AddRecipeLine
    from scheduling.commands.recipes import ChangeRecipeLine as ChangeRecipeLine
    from scheduling.commands.recipes import CopyRecipe as CopyRecipe
    from scheduling.commands.recipes import RetireRecipe as RetireRecipe
    from scheduling.commands.recipes import RetireRecipeLine as RetireRecipeLine
    from scheduling.commands.request import Outcome as Outcome
    from scheduling.commands.request import Request as Request
    from scheduling.commands.rewards import KeepReward as KeepReward
    from scheduling.commands.rewards import PoolSum as PoolSum
    from scheduling.commands.rewards import RetireReward as RetireReward
    from scheduling.commands.series import MakeSeries as MakeSeries
    from scheduling.commands.settings import ChangeStudio as ChangeStudio
    from scheduling.commands.settings import ChangeWorkingDay as ChangeWorkingDay
    from scheduling.commands.settings import CloseDays as CloseDays
    from scheduling.commands.settings import MoveClock as MoveClock
    from scheduling.commands.settings import OpenDay as OpenDay
    from scheduling.commands.settings import SetUpStudio as SetUpStudio
    from scheduling.commands.stock import AllotStock as AllotStock
    from scheduling.commands.stock import CountStock as CountStock
    from scheduling.commands.stock import MoveStock as MoveStock
    from scheduling.commands.suppliers import AddSupplier as AddSupplier
    from scheduling.commands.suppliers import ChangeSupplier as ChangeSupplier
    from scheduling.commands.suppliers import CloseSupplier as CloseSupplier
    from scheduling.commands.suppliers import RetireSupplier as RetireSupplier
    from scheduling.commands.supposing import SupposeHeads as SupposeHeads
    from scheduling.commands.together import AllAtOnce as AllAtOnce
    from scheduling.commands.transfers import AnswerAgain as AnswerAgain
    from scheduling.commands.transfers import TransferBooking as TransferBooking
    from scheduling.commands.transfers import TransferSeat as TransferSeat
    from scheduling.commands.undoing import Redo as Redo
    from scheduling.commands.undoing import Undo as Undo
    from scheduling.commands.venues import AddVenue as AddVenue
    from scheduling.commands.venues import ChangeVenue as ChangeVenue
    from scheduling.commands.venues import RetireVenue as RetireVenue
    from scheduling.commands.walk_ins import WalkIn as WalkIn

_MODULES = {
    "cutting": ("CutSheets",),
    "kit_runs": ("BeginKitRun", "NoteKits", "PostKit", "ReturnKits", "TickKits"),
    "orders": ("CancelOrder", "PlaceOrder", "PromiseOrder", "ReceiveOrder"),
    "costs": ("AddClassCost", "DropClassCost", "SetClassMoney", "SetKitCost", "SetStudioMoney", "SetVenueCosts"),
    "day": ("CountTools", "GiveKit", "MarkNoShow", "SetCollectors", "SetRunSheet", "SignIn", "SignOut"),
    "decisions": ("Decide",),
    "heads": ("AddHeads", "SetHeads"),
    "messages": ("ChangeDraft", "DraftMessages", "DraftNews", "MarkMessage", "SetMail", "SetTemplate"),
    "offers": ("AcceptOffer", "OfferSeats", "RefuseOffer", "SettleLapsed"),
    "parties": ("AddCharge", "DropCharge", "GiveFinalCount"),
    "payments": ("GiveCredit", "GiveRefund", "MarkBounced", "TakePayment", "UseCredit", "SettleByTerms"),
    "promotions": ("AddPromotion", "ChangePromotion", "EndPromotion"),
    "supposing": ("SupposeHeads",),
    "together": ("AllAtOnce",),
    "transfers": ("AnswerAgain", "TransferBooking", "TransferSeat"),
    "bills": (
        "ChangeBillLine",
        "ChooseKitOptions",
        "LetTakeNewVersion",
        "SetBill",
        "SetBillTools",
        "SetMeasures",
        "TakeNewVersion",
    ),
    "kit_rules": ("SetKitRules",),
    "materials": ("AddMaterial", "ChangeMaterial", "KeepTool", "RetireMaterial"),
    "rewards": ("KeepReward", "PoolSum", "RetireReward"),
    "stock": ("AllotStock", "CountStock", "MoveStock"),
    "suppliers": ("AddSupplier", "ChangeSupplier", "CloseSupplier", "RetireSupplier"),
    "bookings": ("Book", "CancelBooking", "MarkSeat", "NameSeat", "SettleBooking"),
    "classes": ("ChangeClassDate", "MakeClassDate", "MarkTaught", "MoveClassDate", "RunAgain"),
    "erasing": ("ErasePerson",),
    "importing": ("KeepBusyTimes", "KeepSignUps"),
    "people": ("AddPerson", "ChangePerson", "RetirePerson"),
    "planning": (
        "BringHelper",
        "DoTogether",
        "KeepPlan",
        "LayAfresh",
        "PartTasks",
        "PinTask",
        "SetDay",
        "TakeMinutes",
        "UnpinTask",
    ),
    "prep": ("AddTask", "ChangeTask", "DropTask", "LogMinutes", "TickTask"),
    "projects": ("AddProject", "ChangeProject", "RetireProject"),
    "recipes": ("AddRecipeLine", "ChangeRecipeLine", "CopyRecipe", "RetireRecipe", "RetireRecipeLine"),
    "request": ("Outcome", "Request"),
    "series": ("MakeSeries",),
    "settings": ("ChangeStudio", "ChangeWorkingDay", "CloseDays", "MoveClock", "OpenDay", "SetUpStudio"),
    "undoing": ("Redo", "Undo"),
    "venues": ("AddVenue", "ChangeVenue", "RetireVenue"),
    "walk_ins": ("WalkIn",),
}
_HOME = {name: module for module, names in _MODULES.items() for name in names}


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"there is no command {name}")
    found = getattr(import_module(f"scheduling.commands.{_HOME[name]}"), name)
    globals()[name] = found
    return found


def load_all() -> None:
    """Load every command's module: for the moment after the first screen, so that no key has to wait for it."""
    for name in _HOME:
        __getattr__(name)


class NamedStep(Protocol):
    """A command by its name, with its entries."""

    @property
    def command(self) -> str: ...
    @property
    def entries(self) -> dict[str, Any]: ...


def made_of(steps: Sequence[NamedStep]) -> Any:
    """The request that does these steps: the only one, or all at once as one action."""
    parts = tuple(__getattr__(step.command)(**step.entries) for step in steps)
    return parts[0] if len(parts) == 1 else __getattr__("AllAtOnce")(parts=parts)
