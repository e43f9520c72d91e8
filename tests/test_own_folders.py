"""No test leaves files in the data folder of the checkout."""

from pathlib import Path

from django.conf import settings
from django.core.files.base import ContentFile

from reports.models import Sheet


def test_a_sheet_lies_in_the_folder_of_the_test(tmp_path):
    sheet = Sheet()
    sheet.file.save("sheet.pdf", ContentFile(b"%PDF"), save=False)

    lies = Path(sheet.file.path)
    assert lies.is_relative_to(settings.SHEETS_FOLDER)
    assert lies.is_relative_to(tmp_path)
