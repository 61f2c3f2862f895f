"""Addresses between workshop and owner: their page, estimates, messages, the settings, the figures."""

from jobs.estimates.urls import patterns as estimates
from jobs.messages.urls import patterns as messages
from jobs.overview.urls import patterns as overview
from jobs.owners.urls import patterns as owners
from jobs.retention.urls import patterns as retention
from jobs.workshop.urls import patterns as workshop

patterns = [*owners, *estimates, *messages, *workshop, *retention, *overview]
