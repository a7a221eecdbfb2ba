"""Writes elements.toml: total mass attenuation coefficients of elements, by xraylib (pip install xraylib).

xraylib's CS_Total agrees with the tables of NIST (Hubbell and Seltzer, NISTIR 5632) to four digits where those were
looked up; tests/it/phantom/attenuation.rs holds the file to them.
"""

import xraylib

SYMBOLS = "H B C N O Na Mg Al Si P S Cl Ar K Ca Ti Cr Mn Fe Ni Cu Zn Zr Pd Ag Ba Yb Au".split()
ENERGIES = range(14, 71, 2)

lines = [
    "# Total mass attenuation coefficients of elements, coherent scattering included, cm2/g.",
    "# Source: xraylib " + xraylib.__version__ + ", CS_Total, which reproduces the tables of NIST (Hubbell and Seltzer, NISTIR 5632)",
    "# to four digits where they were compared. Made by elements.py. K edges within the range: Zr 18.0, Pd 24.4, Ag 25.5,",
    "# Ba 37.4, Yb 61.3 keV.",
    "",
    "energies_kev = [" + ", ".join(str(energy) for energy in ENERGIES) + "]",
    "",
    "[cm2_per_g]",
]
for symbol in SYMBOLS:
    number = xraylib.SymbolToAtomicNumber(symbol)
    values = ", ".join(f"{xraylib.CS_Total(number, float(energy)):.5g}" for energy in ENERGIES)
    lines.append(f"{symbol} = [{values}]")
with open("elements.toml", "w", encoding="utf-8") as file:
    file.write("\n".join(lines) + "\n")
