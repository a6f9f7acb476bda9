#!/usr/bin/python3
"""The mode and the curvature of each sheet of ../outside/sheets.json by SciPy.

    /usr/bin/python3 -B estimate.py < sheets.json > modes.json

The same residuals as the program's, stated in ../outside/sheets.py, and what a
plain SciPy program does with them: one search by least_squares from the prior
medians with two-point differences, intervals from the Jacobian there.  Prints for
each sheet the mode, the curvature standard deviations and the seconds it took,
the best of three runs.
"""
import json
import os
import sys
import time

import numpy
import scipy
from scipy import optimize

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "outside"))
import sheets  # noqa: E402


def estimate(model):
    """Mode and curvature from the prior medians, and the time taken."""
    begin = time.perf_counter()
    post = sheets.Posterior(model)
    bounds = ([u["low"] for u in post.unknowns], [u["high"] for u in post.unknowns])
    fit = optimize.least_squares(post.residuals, [u["mean"] for u in post.unknowns], bounds=bounds, x_scale="jac",
                                 ftol=1e-12, xtol=1e-12, gtol=1e-12, max_nfev=1000)
    sd = numpy.sqrt(numpy.diag(numpy.linalg.inv(fit.jac.T @ fit.jac)))
    return post, fit, sd, time.perf_counter() - begin


def main():
    out = []
    for sheet in json.load(sys.stdin)["sheets"]:
        runs = [estimate(sheet["model"]) for _ in range(3)]
        post, fit, sd, _ = runs[0]
        out.append({"name": sheet["name"], "seconds": min(r[3] for r in runs), "evaluations": int(fit.nfev),
                    "sum_squares": 2 * float(fit.cost),
                    "unknowns": [{"kind": u["kind"], "index": u["index"], "value": float(x), "sd": float(s)}
                                 for u, x, s in zip(post.unknowns, fit.x, sd)]})
    json.dump({"made_with": {"scipy": scipy.__version__, "numpy": numpy.__version__}, "sheets": out}, sys.stdout)


if __name__ == "__main__":
    main()
