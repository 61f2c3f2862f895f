"""Dates and numbers as an Australian workshop writes them."""

DATE_FORMAT = "j M Y"
DATETIME_FORMAT = "j M Y, H:i"
TIME_FORMAT = "H:i"
SHORT_DATE_FORMAT = "d/m/Y"
SHORT_DATETIME_FORMAT = "d/m/Y H:i"
DATE_INPUT_FORMATS = ["%Y-%m-%d", "%d/%m/%Y"]
DATETIME_INPUT_FORMATS = ["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M", "%d/%m/%Y %H:%M"]
TIME_INPUT_FORMATS = ["%H:%M"]
THOUSAND_SEPARATOR = ","
