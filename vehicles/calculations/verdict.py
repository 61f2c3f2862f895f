"""The three answers to whether a condition holds; what is not known is never taken as met."""

MET, NOT_MET, UNKNOWN = "met", "not_met", "unknown"
