"""How every form of the house is set."""

from django import forms
from django.db.models.fields import BLANK_CHOICE_DASH

from vehicles.layout import set_out


class Chosen(forms.Form):
    needed = forms.ChoiceField(choices=[*BLANK_CHOICE_DASH, ("a", "A")])
    asked = forms.ChoiceField(choices=[*BLANK_CHOICE_DASH, ("a", "A")], required=False)
    own = forms.ChoiceField(choices=[("", "every site"), ("a", "A")], required=False)


def test_a_list_says_in_words_that_nothing_is_chosen():
    form = set_out(Chosen())
    first = {name: field.choices[0] for name, field in form.fields.items()}
    assert first == {"needed": ("", "Choose"), "asked": ("", "not given"), "own": ("", "every site")}
    assert form.fields["needed"].choices[1:] == [("a", "A")]
