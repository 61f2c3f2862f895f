"""The few forms of the owner's page. Short labels, plain words, one thing each."""

from django import forms

from jobs.owners.files import WHAT
from vehicles import uploads
from vehicles.layout import set_out


class CodeForm(forms.Form):
    code = forms.CharField(
        label="Code",
        max_length=20,
        help_text="Six digits, from the e-mail or from the workshop.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "one-time-code"}),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class DecisionForm(forms.Form):
    """Yes or no to an estimate, with the name of whoever says so.

    The answer is the button that was pressed, so it is no field on the page.
    """

    decision = forms.ChoiceField(
        label="Your answer",
        choices=[("accept", "yes"), ("decline", "no")],
        error_messages={
            "required": "None was given. Press “Yes, go ahead” or “No, not like this”.",
            "invalid_choice": "“%(value)s” is no answer. Press “Yes, go ahead” or “No, not like this”.",
        },
    )
    name = forms.CharField(label="Your name", max_length=120, widget=forms.TextInput(attrs={"autocomplete": "name"}))
    note = forms.CharField(label="Remark, if you like", max_length=500, required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self, ("", ["name", "note"]))


class _SeveralFilesInput(forms.ClearableFileInput):
    allow_multiple_selected = True


class _SeveralFiles(forms.FileField):
    """One or several files from one field; cleans to a list."""

    widget = _SeveralFilesInput

    def clean(self, data, initial=None):
        if not data:
            raise forms.ValidationError("Choose at least one file.")
        return [super(_SeveralFiles, self).clean(one, initial) for one in data]


class FilesForm(forms.Form):
    what = forms.ChoiceField(label="What is it", choices=list(WHAT.items()))
    note = forms.CharField(label="A word about it, if you like", max_length=60, required=False)
    files = _SeveralFiles(
        label="Photos or papers",
        max_length=255,
        help_text=f"JPEG, PNG or WebP photos, or PDF; each at most {uploads.LARGEST_MB} MB.",
        widget=_SeveralFilesInput(attrs={"accept": "image/jpeg,image/png,image/webp,application/pdf"}),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class QuestionForm(forms.Form):
    text = forms.CharField(label="Your question", max_length=2000, widget=forms.Textarea(attrs={"rows": 4}))

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class AnswerForm(forms.Form):
    text = forms.CharField(
        label="Answer",
        max_length=4000,
        help_text="The owner reads it on their page and gets an e-mail that it is there.",
        widget=forms.Textarea(attrs={"rows": 6}),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        set_out(self)


class MorningsForm(forms.Form):
    """Ticked are the mornings that do not suit."""

    unsuitable = forms.MultipleChoiceField(
        label="These do not suit me", required=False, widget=forms.CheckboxSelectMultiple
    )
    note = forms.CharField(
        label="Anything we should know", max_length=200, required=False, help_text="For example: only before ten."
    )

    def __init__(self, *args, offered, **kwargs):
        super().__init__(*args, **kwargs)
        self.offered = offered
        self.fields["unsuitable"].choices = [(str(morning.day), morning.text) for morning in offered]
        set_out(self)

    @property
    def days(self):
        return {morning.day for morning in self.offered if str(morning.day) in self.cleaned_data["unsuitable"]}
