#!/usr/bin/python3
"""Zone pressures of random networks by two solvers of others: scipy.optimize
and, for most of them, ngspice with a behavioural source for every leak.

    /usr/bin/python3 networks.py > networks.json

Every Model holds one hold; its medians and means are the true values.
"""
import json
import math
import os
import platform
import random
import re
import subprocess
import sys
import tempfile

import numpy
import scipy
from scipy import optimize

import law
from law import CFM, HOUSE, OUTSIDE

NAMES = ["house", "outside", "attic", "garage", "crawlspace", "ducts"]


def true_edges(m):
    h = m["Holds"][0]
    sizes = [p["Flow50"]["Median"] for p in m["Paths"]]
    exps = [p["Exponent"]["Mean"] for p in m["Paths"]]
    ops = [o["Flow50"]["Median"] if o["Area"] == 0 else
           law.hole_flow50(o["Area"], o["Cd"] or 0.60, m["Air"]) for o in m["Openings"]]
    return law.edges_of(m, h, sizes, exps, ops)[0]


def sources(m):
    s = [0.0] * len(m["Spaces"])
    for f in m["Holds"][0]["Fans"]:
        s[f["From"]] -= f["Flow"]
        s[f["To"]] += f["Flow"]
    return s


def by_scipy(m):
    """scipy.optimize.root (hybrid Powell) from several starts; each zone's
    balance is divided by what its leaks could pass, so that tiny and huge ones
    are treated alike.  brentq polishes a zone at a time to rounding."""
    edges, src, house = true_edges(m), sources(m), m["Holds"][0]["House"]
    zones = list(range(2, len(m["Spaces"])))
    if not zones:
        return [house, 0.0], 0.0, 0.0
    scale = {z: sum(e[2] for e in edges if z in e[:2]) for z in zones}
    full = lambda x: [house, 0.0] + list(x)
    balance = lambda z, p: (law.net_inflow(z, edges, p) + src[z]) / scale[z]
    system = lambda x: [balance(z, full(x)) for z in zones]
    rng, found = random.Random(1), []
    for _ in range(6):
        x = optimize.root(system, [house * rng.random() for _ in zones], method="hybr", options={"xtol": 1e-14, "maxfev": 20000}).x
        p = polish(full(x), zones, balance)
        found.append((max(abs(v) for v in system(p[2:])), p))
    best = min(found)[1]
    worst = max(abs(v) for v in system(best[2:]))
    spread = max(max(abs(a - b) for a, b in zip(best, p)) for miss, p in found if miss < 1e-11)
    assert worst < 1e-12 and spread < 1e-6, (m["Holds"][0]["Name"], worst, spread)
    return best, worst, spread


def polish(p, zones, balance):
    """Sweeps of brentq over the zones, one at a time (each balance falls with
    the zone's own pressure, so the bracket is sure)."""
    p = list(p)
    for _ in range(4000):
        moved = 0.0
        for z in zones:
            def f(x, z=z):
                q = list(p)
                q[z] = x
                return balance(z, q)
            lo, hi = p[z] - 1e-3, p[z] + 1e-3
            while f(lo) < 0:
                lo -= 10 * (hi - lo)
            while f(hi) > 0:
                hi += 10 * (hi - lo)
            new = optimize.brentq(f, lo, hi, xtol=1e-13, rtol=8.9e-16)
            moved, p[z] = max(moved, abs(new - p[z])), new
        if moved < 1e-11:
            break
    return p


def by_ngspice(m):
    """The same network as a circuit: a node is a space, its voltage the pressure
    in Pa, a behavioural current source each leak, in L/s."""
    edges, src, house = true_edges(m), sources(m), m["Holds"][0]["House"]
    node = lambda s: "0" if s == OUTSIDE else "n%d" % s
    lines = ["zone pressures", "Vhouse n0 0 DC %.17g" % house]
    for i, (a, b, q, n) in enumerate(edges):
        c = 1000 * q / 50.0 ** n
        d = "V(%s,%s)" % (node(a), node(b)) if b != OUTSIDE else "V(%s)" % node(a)
        if a == OUTSIDE:
            d = "(-V(%s))" % node(b)
        lines.append("B%d %s %s I = %.17g*%s*pow(%s*%s + %.17g,%.17g)" % (
            i, node(a), node(b), c, d, d, d, law.ROUNDING ** 2, (n - 1) / 2))
    for s, q in enumerate(src):
        if q:
            lines.append("I%d 0 %s DC %.17g" % (s, node(s), 1000 * q))
    zones = range(2, len(m["Spaces"]))
    for z in zones:
        lines.append(".nodeset v(n%d)=%.6g" % (z, house / 2))
    lines += [".options reltol=1e-10 abstol=1e-12 vntol=1e-10 gmin=1e-18 itl1=5000", ".control", "set numdgt=14", "op"]
    lines += ["print v(n%d)" % z for z in zones] + ["print i(vhouse)", ".endc", ".end"]
    with tempfile.NamedTemporaryFile("w", suffix=".cir", delete=False) as f:
        f.write("\n".join(lines) + "\n")
    try:
        out = subprocess.run(["ngspice", "-b", f.name], capture_output=True, text=True, timeout=60).stdout
    finally:
        os.unlink(f.name)
    volts = dict(re.findall(r"^(v\(n\d+\)|i\(vhouse\)) = (\S+)", out, re.M))
    if len(volts) != len(zones) + 1:
        return None
    # what leaves through the house's source is all that came in: through its
    # leaks and from the further fans
    return [house, 0.0] + [float(volts["v(n%d)" % z]) for z in zones], float(volts["i(vhouse)"]) / 1000


def random_network(i, rng):
    """2 to 6 spaces; every third pair of zones is coupled; sizes over six
    decades in the last ones."""
    spaces = 2 + i % 5
    wide = 3.0 if i >= 20 else 1.0
    size = lambda median: CFM * median * math.exp(wide * rng.gauss(0, 1))
    n = lambda: round(rng.uniform(0.5, 1.0), 3)
    paths = [law.path(HOUSE, OUTSIDE, size(1200), n=n())]
    for z in range(2, spaces):
        paths += [law.path(HOUSE, z, size(300), n=n()), law.path(OUTSIDE, z, size(800), n=n())]
        for y in range(2, z):
            if rng.random() < 0.6:
                paths.append(law.path(y, z, size(150), n=n()))
    openings, opened, sealed, fans = [], [], [], []
    if spaces > 2 and i % 3 == 1:
        openings.append(law.opening("hatch", HOUSE, 2, flow50=size(1000)))
        openings.append(law.opening("hole", 2, OUTSIDE, area=rng.uniform(0.005, 0.1), cd=0.61 if i % 2 else 0.0))
        opened = [0, 1] if i % 2 else [1]
    if spaces > 3 and i % 4 == 2:
        sealed = [next(k for k, p in enumerate(paths) if {p["A"], p["B"]} == {HOUSE, 3})]
    if spaces > 2 and i % 4 == 3:
        fans = [law.fan(spaces - 1, OUTSIDE, size(200))]
        if i % 8 == 3:
            fans.append(law.fan(HOUSE, 2, size(50)))
    if spaces > 3 and i % 5 == 4:
        paths.append(law.path(HOUSE, 3, size(20), n=0.65, covered=True))
    covered = [len(paths) - 1] if paths[-1]["Covered"] and i % 2 else []
    house = rng.choice([-1, 1]) * rng.uniform(4, 65)
    h = law.hold("network %d" % (i + 1), round(house, 2), opened=opened, sealed=sealed, covered=covered, fans=fans)
    return law.model(NAMES[:spaces], paths, openings, [h])


def garage_below_attic(opened):
    leaks = [(HOUSE, OUTSIDE, 1000), (HOUSE, 3, 100), (3, OUTSIDE, 300), (HOUSE, 2, 300), (2, OUTSIDE, 1500), (3, 2, 200)]
    paths = [law.path(a, b, q * CFM) for a, b, q in leaks]
    openings = [law.opening("garage door", 3, OUTSIDE, flow50=1e6 * CFM)]
    name = "garage below attic" + (", garage open" if opened else "")
    return law.model(NAMES[:4], paths, openings, [law.hold(name, -50.0, opened=[0] if opened else [])])


def nearly_open(zone_side):
    """A zone so wide open to one side that less than 0.01 Pa is left there, where
    the law is all but straight."""
    other = OUTSIDE if zone_side == HOUSE else HOUSE
    paths = [law.path(HOUSE, OUTSIDE, 1000 * CFM), law.path(2, zone_side, 3e5 * CFM, n=0.55), law.path(2, other, 40 * CFM, n=0.8)]
    name = "zone nearly open to %s" % ("the house" if zone_side == HOUSE else "outside")
    return law.model(NAMES[:3], paths, [], [law.hold(name, 50.0)])


def solved(m):
    p, worst, spread = by_scipy(m)
    edges, src = true_edges(m), sources(m)
    fan = law.net_inflow(HOUSE, edges, p) + src[HOUSE]
    out = {"name": m["Holds"][0]["Name"], "model": m, "pressures": p, "fan": fan,
           "worst_balance": worst, "spread_of_starts": spread}
    circuit = by_ngspice(m) if len(p) > 2 else None
    if circuit:
        apart = max(abs(a - b) for a, b in zip(p, circuit[0]))
        out["ngspice"] = {"pressures": circuit[0], "fan": circuit[1], "apart": apart}
        print("%s: apart %.2g Pa, fan %.2g" % (out["name"], apart, abs(circuit[1] / fan - 1)), file=sys.stderr)
    else:
        print("%s: scipy only" % out["name"], file=sys.stderr)
    return out


def versions():
    text = subprocess.run(["ngspice", "--version"], capture_output=True, text=True).stdout
    return {"python": platform.python_version(), "scipy": scipy.__version__, "numpy": numpy.__version__,
            "ngspice": re.search(r"ngspice-\S+", text).group(0)}


def main():
    rng = random.Random(2026)
    models = [garage_below_attic(False), garage_below_attic(True), nearly_open(HOUSE), nearly_open(OUTSIDE)] + [random_network(i, rng) for i in range(26)]
    json.dump({"made_with": versions(), "law": "Q = C dp (dp^2 + eps^2)^((n-1)/2), eps 0.05 Pa; SI; fan is the net flow "
               "into the house through its paths and from further fans, signed",
               "networks": [solved(m) for m in models]}, sys.stdout, indent=1)
    print()


if __name__ == "__main__":
    main()
