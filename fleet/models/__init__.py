"""The rows, a file an idea."""

from fleet.models.counter import CounterEvidence, EvidenceKind
from fleet.models.drill import Drill, DrillKind, DrillResult
from fleet.models.erasure import Erasure
from fleet.models.firmware import (
    AddressPolicy,
    Connection,
    FirmwarePolicy,
    FirmwareRelease,
    LimitSource,
    LinkKeyStore,
    ModelLimit,
    RadioModel,
    Resource,
    SecurityModes,
)
from fleet.models.guide import FieldGuideRow, KnownLayout
from fleet.models.install_code import InstallCode
from fleet.models.journal import JournalEntry
from fleet.models.keep_rule import ClientKeepRule, KeepRule
from fleet.models.leaving import LeavingStep
from fleet.models.mesh import Mesh, Node, SafetyKind
from fleet.models.message import Message, MessageKind, ToldOfMesh, Wishes
from fleet.models.outgoing import Delivery, Event, Receiver
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
from fleet.models.supposal import Supposal, SupposedChange
from fleet.models.survey import ChannelSurvey, WifiHeard, WifiWidth

__all__ = [
    "JUDGED_GRADES",
    "MARKED",
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
    "Drill",
    "DrillKind",
    "DrillResult",
    "EndReason",
    "Erasure",
    "Event",
    "EvidenceKind",
    "FieldGuideRow",
    "Finding",
    "FirmwarePolicy",
    "FirmwareRelease",
    "Grade",
    "How",
    "InstallCode",
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
    "PackingBase",
    "Pin",
    "PinKind",
    "Place",
    "PlaceKind",
    "PushToken",
    "Radio",
    "RadioModel",
    "RadioState",
    "ReadinessChange",
    "Receiver",
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
    "Supposal",
    "SupposedChange",
    "ToldOfMesh",
    "TrayItem",
    "TrayReason",
    "WatchMark",
    "Why",
    "WifiHeard",
    "WifiWidth",
    "Wishes",
]
