from django import forms

from certificates import importing
from certificates.import_papers import LARGEST_PDF_MB, MOST_MEMBERS, MOST_UNPACKED_MB, Archive, BadArchive
from certificates.import_rows import COLUMNS, REQUIRED
from vehicles.layout import set_out

LARGEST_TABLE_MB, LARGEST_ZIP_MB, MOST_LINES = 5, 60, 5_000


class ImportForm(forms.Form):
    """A table of past certificates and the PDFs that it names."""

    table = forms.FileField(
        label="Table (CSV)",
        help_text=(
            f"UTF-8, comma or semicolon between the fields, the names of the columns in the first line. Needed: "
            f"{', '.join(REQUIRED)}, and plate or vin. Known: {', '.join(COLUMNS)}. At most {MOST_LINES:,} lines."
        ),
        error_messages={"empty": "The table is empty; allowed is a CSV with a heading and lines."},
    )
    papers = forms.FileField(
        label="PDFs (zip), if the table names any",
        required=False,
        help_text=(
            f"At most {LARGEST_ZIP_MB} MB, {MOST_MEMBERS:,} files, {LARGEST_PDF_MB} MB each and {MOST_UNPACKED_MB} MB "
            "unpacked. More goes in several tables, or by manage.py import_certificates."
        ),
        error_messages={"empty": "The zip is empty; leave it out where the table names no PDF."},
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)

    def clean_table(self):
        table = _not_above(self.cleaned_data["table"], LARGEST_TABLE_MB)
        try:
            lines = importing.count(table)
        except importing.NoCsv as trouble:
            raise forms.ValidationError(str(trouble)) from trouble
        if not 1 <= lines <= MOST_LINES:
            raise forms.ValidationError(f"The table has {lines:,} lines; allowed are 1 to {MOST_LINES:,}.")
        return table

    def clean_papers(self):
        if not (papers := self.cleaned_data["papers"]):
            return None
        papers = _not_above(papers, LARGEST_ZIP_MB)
        try:
            Archive(papers)
        except BadArchive as bad:
            raise forms.ValidationError(list(bad.faults[:20])) from bad
        return papers


def _not_above(file, most_mb):
    if file.size > most_mb * 1_000_000:
        raise forms.ValidationError(f"The file has {file.size / 1e6:.1f} MB; allowed are {most_mb} MB.")
    return file
