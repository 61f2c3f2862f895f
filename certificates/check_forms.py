from django import forms

from certificates import checking
from vehicles.layout import set_out

LARGEST_MB = 60


class CodeForm(forms.Form):
    """The code that is printed beside the QR code."""

    code = forms.CharField(label="Code on the certificate", max_length=60, help_text="Four groups of five.")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)

    def clean_code(self):
        code = checking.read(self.cleaned_data["code"])
        if len(code) != checking.LENGTH:
            raise forms.ValidationError(
                f"The code has {len(code)} letters and digits that can be part of one; allowed is exactly "
                f"{checking.LENGTH}, without I, O, 0 and 1."
            )
        return code


class CompareForm(forms.Form):
    """A file to compare with the one that was issued. It is read and thrown away."""

    file = forms.FileField(
        label="Your PDF of the certificate or the report",
        help_text="It is compared byte for byte and not kept.",
        error_messages={"empty": "The file is empty; send the PDF as you received it."},
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)

    def clean_file(self):
        file = self.cleaned_data["file"]
        if file.size > LARGEST_MB * 1024 * 1024:
            raise forms.ValidationError(
                f"The file has {file.size / 1024 / 1024:.0f} MB; allowed are {LARGEST_MB} MB: no certificate is larger."
            )
        return file
