from testing.testday.procedures.base import MeasuredProcedure


class Brake(MeasuredProcedure):
    """Deceleration against the figures for the GVM. ``gvm_kg`` comes with the values from the file of the job."""

    key = "brake"

    def judge(self, values):
        if values["gvm_kg"] is None:
            return ["undecided: the GVM is not known, and the figures depend on it"]
        weight = "light" if values["gvm_kg"] < self.limit("light_gvm_kg") else "heavy"
        names = (("average_mps2", "average"), ("peak_mps2", "peak"), ("emergency_mps2", "emergency"))
        findings = []
        for field, name in names:
            least, value = self.limit(f"{name}_{weight}_mps2"), values.get(field)
            if value is not None and value < least:
                findings.append(f"{name} deceleration {value:g} m/s², at least {least:g} m/s² asked")
        if values["peak_mps2"] < values["average_mps2"]:
            findings.append("the peak is below the average: read the instrument again")
        return findings
