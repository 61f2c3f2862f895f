from django import forms

from certificates.models.words import PARTS
from certificates.outcomes import DECLARATION
from certificates.signing import keys
from jobs import drafts
from vehicles.layout import set_out


class IssueForm(forms.Form):
    """The signatory's declaration. Nothing is signed by pressing a button alone."""

    never_kept = drafts.never("declared", "password")

    declared = forms.BooleanField(
        label=DECLARATION,
        error_messages={"required": "Tick the declaration: without it nothing is signed."},
    )
    password = forms.CharField(
        label="Passphrase or PIN of your signing key",
        widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
        max_length=200,
        strip=False,
        help_text="Unlocks your key for this signature and is not stored.",
        error_messages={"required": "Type the passphrase: the certificate is signed with your key."},
    )

    def __init__(self, *args, by, **kwargs):
        super().__init__(*args, **kwargs)
        if not keys.has_key(by):
            del self.fields["password"]
        set_out(self, ("Declaration of the signatory", list(self.fields)))

    @property
    def secret(self):
        return self.cleaned_data.get("password", "")


class WordsForm(forms.Form):
    """The free-text parts of the report; everything else comes from the file of the job."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for part, title in PARTS:
            self.fields[part] = forms.CharField(
                label=title, required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 5})
            )
        self.fields["conditions"].help_text = "Printed on the certificate itself as well."
        set_out(self)
