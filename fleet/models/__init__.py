"""The rows, a file an idea."""

from fleet.models.counter import CounterEvidence, EvidenceKind
from fleet.models.drill import Drill, DrillKind, DrillResult
from fleet.models.drilling import DrawnMesh, DrillDraw, Rehearsal, RehearsalEnd, RehearsalStep
from fleet.models.erasure import Erasure
from fleet.models.feed import FeedEvent, FeedToken
from fleet.models.firmware import (
    AddressPolicy,
    Connection,
    FirmwarePolicy,
    FirmwareRelease,
    LimitSource,
    LinkKeyStore,
    ModelLimit,
    Numbering,
    RadioModel,
    ReleaseChange,
    Resource,
    SecurityModes,
)
from fleet.models.guide import FieldGuideRow, KnownLayout
from fleet.models.install_code import InstallCode
from fleet.models.journal import JournalChain, JournalEntry
from fleet.models.keep_rule import ClientKeepRule, KeepRule
from fleet.models.leaving import LeavingStep
from fleet.models.mesh import Mesh, Node, SafetyKind
from fleet.models.message import Message, MessageKind, ToldOfMesh, Wishes
from fleet.models.next_swap import RankedSwap, SwapRanking
from fleet.models.outgoing import Delivery, Event, Receiver
from fleet.models.passage import (
    OPEN_PASSAGES,
    Passage,
    PassageRing,
    PassageState,
    PassageTurn,
    PassageUnit,
    Regression,
)
from fleet.models.pin import Pin, PinKind
from fleet.models.radio import EndReason, Place, PlaceKind, Radio, RadioState, ServicePeriod
from fleet.models.readiness_change import ReadinessChange
from fleet.models.replacement import (
    Replacement,
    ReplacementMove,
    SealedPhoto,
    SilenceProof,
    Silencing,
    WatchMark,
    Why,
)
from fleet.models.round import Round, RoundChunk, RoundState
from fleet.models.sealed import BaseCopy, DataKey, PackingBase, PushToken, SealedBody
from fleet.models.snapshot import (
    JUDGED_GRADES,
    MARKED,
    Arrival,
    Currency,
    Custody,
    Finding,
    Grade,
    How,
    Snapshot,
    TrayItem,
    TrayReason,
)
from fleet.models.stock import StockMove
from fleet.models.storm import StormExercise
from fleet.models.support import SupportEnd
from fleet.models.supposal import Supposal, SupposedChange
from fleet.models.survey import ChannelSurvey, WifiHeard, WifiWidth
from fleet.models.travel import TravelMatrix
from fleet.models.visit import (
    Forecast,
    Visit,
    VisitState,
    VisitTask,
    VisitWaiver,
    VisitWindow,
    VisitWork,
)
from fleet.models.visit_plan import PlanDay, PlanLeftOut, PlanState, PlanStop, VisitPlan

__all__ = [
    "JUDGED_GRADES",
    "MARKED",
    "OPEN_PASSAGES",
    "AddressPolicy",
    "Arrival",
    "BaseCopy",
    "ChannelSurvey",
    "ClientKeepRule",
    "Connection",
    "CounterEvidence",
    "Currency",
    "Custody",
    "DataKey",
    "Delivery",
    "DrawnMesh",
    "Drill",
    "DrillDraw",
    "DrillKind",
    "DrillResult",
    "EndReason",
    "Erasure",
    "Event",
    "EvidenceKind",
    "FeedEvent",
    "FeedToken",
    "FieldGuideRow",
    "Finding",
    "FirmwarePolicy",
    "FirmwareRelease",
    "Forecast",
    "Grade",
    "How",
    "InstallCode",
    "JournalChain",
    "JournalEntry",
    "KeepRule",
    "KnownLayout",
    "LeavingStep",
    "LimitSource",
    "LinkKeyStore",
    "Mesh",
    "Message",
    "MessageKind",
    "ModelLimit",
    "Node",
    "Numbering",
    "PackingBase",
    "Passage",
    "PassageRing",
    "PassageState",
    "PassageTurn",
    "PassageUnit",
    "Pin",
    "PinKind",
    "Place",
    "PlaceKind",
    "PlanDay",
    "PlanLeftOut",
    "PlanState",
    "PlanStop",
    "PushToken",
    "Radio",
    "RadioModel",
    "RadioState",
    "RankedSwap",
    "ReadinessChange",
    "Receiver",
    "Regression",
    "Rehearsal",
    "RehearsalEnd",
    "RehearsalStep",
    "ReleaseChange",
    "Replacement",
    "ReplacementMove",
    "Resource",
    "Round",
    "RoundChunk",
    "RoundState",
    "SafetyKind",
    "SealedBody",
    "SealedPhoto",
    "SecurityModes",
    "ServicePeriod",
    "SilenceProof",
    "Silencing",
    "Snapshot",
    "StockMove",
    "StormExercise",
    "SupportEnd",
    "Supposal",
    "SupposedChange",
    "SwapRanking",
    "ToldOfMesh",
    "TravelMatrix",
    "TrayItem",
    "TrayReason",
    "Visit",
    "VisitPlan",
    "VisitState",
    "VisitTask",
    "VisitWaiver",
    "VisitWindow",
    "VisitWork",
    "WatchMark",
    "Why",
    "WifiHeard",
    "WifiWidth",
    "Wishes",
]
