"""Means and covariances of the 2012 US Army survey, as tables/anthropometry.toml keeps them.

    python -m bench.anthropometry FOLDER            compare the table with the survey's two public files
    python -m bench.anthropometry FOLDER --print    print the table's rows

FOLDER holds ANSUR_II_MALE_Public.csv and ANSUR_II_FEMALE_Public.csv. The survey itself is not part of this repository.
"""

import csv
import sys
from pathlib import Path

import numpy as np

from floorward import tables

SEXES = {"male": "MALE", "female": "FEMALE"}


def columns(folder, sex):
    """The quantities of the table, one array each, in millimetres."""
    path = Path(folder) / f"ANSUR_II_{SEXES[sex]}_Public.csv"
    with path.open(encoding="latin-1") as file:
        rows = list(csv.DictReader(file))

    def column(name):
        return np.array([float(row[name]) for row in rows])

    hand_to_grip = column("handlength") - column("forearmhandlength") + column("forearmcenterofgriplength")
    return {
        "stature": column("stature"),
        "span": column("span"),
        "crotch": column("crotchheight"),
        "sitting_height": column("sittingheight"),
        "knee_height": column("kneeheightsitting"),
        "sleeve": column("sleeveoutseam"),
        "ankle_height": column("lateralmalleolusheight"),
        "shank": column("tibialheight") - column("lateralmalleolusheight"),
        "thigh": column("trochanterionheight") - column("tibialheight"),
        "trunk": column("acromialheight") - column("trochanterionheight"),
        "arm": column("acromionradialelength") + column("radialestylionlength") + hand_to_grip,
        "foot": column("footlength"),
        "neck": column("cervicaleheight") - column("trochanterionheight"),
        "shoulder_breadth": column("biacromialbreadth"),
    }


def main(folder, *flags):
    for sex in SEXES:
        found = columns(folder, sex)
        values = np.array(list(found.values()))
        mean, covariance = values.mean(axis=1), np.cov(values)
        if "--print" in flags:
            print(f"[{sex}.mean]\nvalue = {[round(float(x), 1) for x in mean]}")
            print(f'[{sex}.covariance]\nunit = "mm2"\nvalue = [')
            for row in covariance:
                print(f"  {[round(float(x), 1) for x in row]},")
            print("]")
        else:
            off = np.abs(mean - tables.value("anthropometry", sex, "mean")).max()
            off_covariance = np.abs(covariance - tables.value("anthropometry", sex, "covariance")).max()
            print(
                f"{sex}: {len(values[0])} people, means differ by {off:.2f} mm at most, covariances by {off_covariance:.2f} mm2"
            )


if __name__ == "__main__":
    main(*sys.argv[1:])
