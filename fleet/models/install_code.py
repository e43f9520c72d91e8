"""The install code of a device, sealed. Its clear text stands in no column."""

import uuid

from django.db import models

from fleet.models.mesh import Node
from fleet.models.sealed import DataKey


class InstallCode(models.Model):
    """One code for a node, under the client's data key: with that key destroyed, nobody can read it any more."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    node = models.OneToOneField(Node, on_delete=models.CASCADE, related_name="install_code")
    data_key = models.ForeignKey(DataKey, on_delete=models.PROTECT, related_name="install_codes")
    sealed = models.BinaryField(editable=False)
    mark = models.BinaryField(editable=False, help_text="Keyed digest, to find one code on two devices.")
    entered_by = models.CharField(max_length=120)
    entered_at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["mark"], name="install_code_by_mark")]

    def __str__(self) -> str:
        return f"install code of {self.node_id}"
