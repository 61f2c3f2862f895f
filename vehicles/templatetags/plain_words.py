from django import template

from vehicles.plainly import plainly

register = template.Library()
register.filter("plainly", plainly)
