"""How every form of the house is set: one column, label above, unit inside the field's end."""

from crispy_forms.bootstrap import AppendedText
from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Fieldset, Layout
from django.db.models.fields import BLANK_CHOICE_DASH
from django.forms import ChoiceField, ModelChoiceField

_DASHES = BLANK_CHOICE_DASH[0][1]


def _placed(form, name):
    unit = getattr(form.fields[name], "unit", "")
    return AppendedText(name, unit) if unit else name


def _name_blanks(form):
    """What stands in a list while nothing is chosen says so in words; a row of dashes says nothing."""
    for field in form.fields.values():
        word = "Choose" if field.required else "not given"
        if getattr(field, "empty_label", None) == _DASHES:
            field.empty_label = word
        elif isinstance(field, ChoiceField) and not isinstance(field, ModelChoiceField):
            field.choices = [(key, word if label == _DASHES else label) for key, label in field.choices]


def set_out(form, *sections):
    """Give the form a helper. A section is (title, names); without any, all fields in order."""
    _name_blanks(form)
    helper = FormHelper(form)
    helper.form_tag = False
    helper.disable_csrf = True
    # Errors stand in the summary on top, with links; see templates/_form.html.
    helper.form_show_errors = True
    helper.layout = Layout(
        *(
            Fieldset(title, *(part if isinstance(part, HTML) else _placed(form, part) for part in names))
            for title, names in sections or [("", list(form.fields))]
        )
    )
    form.helper = helper
    return form
