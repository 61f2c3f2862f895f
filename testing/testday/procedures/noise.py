from testing.testday.procedures.base import MeasuredProcedure


class Noise(MeasuredProcedure):
    """Three readings near the exhaust; the highest decides, against the signature level where there is one."""

    key = "noise"

    def judge(self, values):
        readings = [values[f"{name}_dba"] for name in ("first", "second", "third")]
        signature = values.get("signature_dba")
        most = self.limit("most_dba") if signature is None else signature + self.limit("above_signature_db")
        findings = []
        if max(readings) > most:
            findings.append(f"{max(readings):g} dB(A), at most {most:g} dB(A) allowed")
        if max(readings) - min(readings) > self.limit("spread_db"):
            findings.append(f"readings lie {max(readings) - min(readings):g} dB apart: measure three again")
        if min(readings) - values["background_dba"] < self.limit("background_below_db"):
            findings.append("the background is too loud for a reading that counts")
        return findings
