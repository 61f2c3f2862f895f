"""Signing in: tries run out for a while. Nothing here says whether there is an account of that name."""

from django.contrib.auth.forms import AuthenticationForm
from django.core.exceptions import ValidationError

from jobs.throttle import Limit, place_of

STRETCH_S = 600
# A name at one place runs out first: a stranger elsewhere keeps nobody from their own account.
AT_ONE_PLACE = Limit("sign-in, name and place", most=8, seconds=STRETCH_S)
FROM_ONE_PLACE = Limit("sign-in, place", most=40, seconds=STRETCH_S)
# One name tried from everywhere: from then on each place has a single try, so the right password still gets in.
OF_ONE_NAME = Limit("sign-in, name", most=60, seconds=STRETCH_S)


class SignInForm(AuthenticationForm):
    """Name and password; `wait_s` says how long there is no use in trying."""

    wait_s = 0

    def clean(self):
        name, password = self.cleaned_data.get("username"), self.cleaned_data.get("password")
        if name is None or not password:
            return super().clean()
        tried = (name.casefold(), place_of(self.request))
        self._take_a_try(*tried)
        cleaned = super().clean()
        AT_ONE_PLACE.forget(*tried)
        FROM_ONE_PLACE.give_back(tried[1])
        OF_ONE_NAME.give_back(tried[0])
        return cleaned

    def _take_a_try(self, name, place):
        one_each = OF_ONE_NAME.over(name)
        here = AT_ONE_PLACE.count(name, place)
        if FROM_ONE_PLACE.over(place) or here > (1 if one_each else AT_ONE_PLACE.most):
            self.wait_s = AT_ONE_PLACE.wait_s()
            minutes = -(-self.wait_s // 60)
            raise ValidationError(
                f"Too many wrong passwords came from where you are. Wait {minutes} minute{'s' * (minutes > 1)} and"
                " sign in again; until then even the right password is not looked at.",
                code="wait",
            )
