"""The rows of paper: sheets, and what becomes of each after it is issued."""

from reports.models.link import SheetLink
from reports.models.mail import SheetMail
from reports.models.remaking import Remaking, SheetToMake
from reports.models.sheet import (
    OF_A_HOME,
    OF_A_MESH,
    ON_A_WALL,
    Sheet,
    SheetKind,
    SheetSerial,
    archive,
)
from reports.models.signature import Method, Signature, SignedAs

__all__ = [
    "OF_A_HOME",
    "OF_A_MESH",
    "ON_A_WALL",
    "Method",
    "Remaking",
    "Sheet",
    "SheetKind",
    "SheetLink",
    "SheetMail",
    "SheetSerial",
    "SheetToMake",
    "Signature",
    "SignedAs",
    "archive",
]
