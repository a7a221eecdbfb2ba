"""Reads a structured report back with pydicom and highdicom, and prints what they make of it.

    crestgauge report tests/data/films-truth/film-102.case.json -o sample.dcm --date 2026-11-24
    python3 read_back.py sample.dcm > read_back.txt
"""

import sys

import highdicom as hd
import pydicom

data = pydicom.dcmread(sys.argv[1])
print("pydicom", pydicom.__version__, "highdicom", hd.__version__)
print(data.SOPClassUID.name, data.Modality, data.CompletionFlag, data.VerificationFlag)
print("patient:", repr(str(data.PatientName)), repr(data.PatientID), repr(data.PatientBirthDate), repr(data.PatientSex))
report = hd.sr.ComprehensiveSR.from_dataset(data)
assert isinstance(report.content, hd.sr.MeasurementReport)
for group in report.content.get_image_measurement_groups():
    sites = [f"{site.value.value} {site.value.scheme_designator}" for site in group.finding_sites]
    print(group.tracking_identifier, sites)
    for it in group.get_measurements():
        inner = {item.name.meaning: item.value for item in it[0].ContentSequence if item.ValueType == "NUM"}
        value = it[0].MeasuredValueSequence[0].FloatingPointValue
        inside = " ".join(f"{name}: {float(value):.6f};" for name, value in inner.items())
        print(f"  {it.name.value} {value:.6f} {it.unit.value}; {inside}")
