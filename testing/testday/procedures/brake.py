from testing.testday.procedures.base import MeasuredProcedure
from testing.workup import gvm_of


class Brake(MeasuredProcedure):
    """Deceleration against the figures for the GVM. ``gvm_kg`` comes with the values from the file of the job."""

    key = "brake"

    def facts(self, job):
        return {"gvm_kg": gvm_of(job)}

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
        pull_m, most_m = values.get("pull_m"), self.limit("pull_m")
        if pull_m is not None and pull_m > most_m:
            findings.append(f"pulled {pull_m:g} m to a side, at most {most_m:g} m")
        if values["peak_mps2"] < values["average_mps2"]:
            findings.append("the peak is below the average: read the instrument again")
        return findings
