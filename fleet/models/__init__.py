"""The rows, a file an idea."""

from fleet.models.counter import CounterEvidence, EvidenceKind
from fleet.models.drill import Drill, DrillKind, DrillResult
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
from fleet.models.journal import JournalEntry
from fleet.models.keep_rule import KeepRule
from fleet.models.leaving import LeavingStep
from fleet.models.mesh import Mesh, Node, SafetyKind
from fleet.models.radio import EndReason, Place, PlaceKind, Radio, RadioState, ServicePeriod
from fleet.models.round import Round, RoundState
from fleet.models.sealed import BaseCopy, DataKey, PackingBase, PushToken, SealedBody
from fleet.models.snapshot import (
    JUDGED_GRADES,
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

__all__ = [
    "JUDGED_GRADES",
    "AddressPolicy",
    "Arrival",
    "BaseCopy",
    "Connection",
    "CounterEvidence",
    "Currency",
    "Custody",
    "DataKey",
    "Drill",
    "DrillKind",
    "DrillResult",
    "EndReason",
    "EvidenceKind",
    "FieldGuideRow",
    "Finding",
    "FirmwarePolicy",
    "FirmwareRelease",
    "Grade",
    "How",
    "JournalEntry",
    "KeepRule",
    "KnownLayout",
    "LeavingStep",
    "LimitSource",
    "LinkKeyStore",
    "Mesh",
    "ModelLimit",
    "Node",
    "PackingBase",
    "Place",
    "PlaceKind",
    "PushToken",
    "Radio",
    "RadioModel",
    "RadioState",
    "Resource",
    "Round",
    "RoundState",
    "SafetyKind",
    "SealedBody",
    "SecurityModes",
    "ServicePeriod",
    "Snapshot",
    "TrayItem",
    "TrayReason",
]
