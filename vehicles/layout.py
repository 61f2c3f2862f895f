"""How every form of the house is set: one column, label above, unit inside the field's end."""

from crispy_forms.bootstrap import AppendedText
from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Fieldset, Layout


def _placed(form, name):
    unit = getattr(form.fields[name], "unit", "")
    return AppendedText(name, unit) if unit else name


def set_out(form, *sections):
    """Give the form a helper. A section is (title, names); without any, all fields in order."""
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
