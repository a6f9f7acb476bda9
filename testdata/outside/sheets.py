#!/usr/bin/python3
"""Posterior modes of simulated sheets by scipy.optimize.least_squares.

    /usr/bin/python3 sheets.py > sheets.json

Residuals: (unknown - prior mean)/sd of every unknown with a prior, (house
reading - P)/sd, (pressure reading - predicted)/sd, and (ln read flow - ln model
flow - sum of its calibrations)/SDLn.  Unknowns: ln flow at 50 Pa of each path,
exponent of each path (kept in 0.5 to 1), true house pressure of each hold (no
prior), ln calibration of each Calibration (normal, 0, SDLn), ln size of each
opening of unknown size, ln area error of each known one, ln of the common
discharge coefficient's error where an opening uses it, ln true flow of each
further fan (no prior; its own reading is a residual).  An unknown whose prior
sd is 0 is known.  Zone pressures are solved anew for every evaluation, by
Newton's method here and to rounding; derivatives are three-point differences.
"""
import json
import math
import platform
import random
import sys

import numpy
import scipy
from scipy import optimize

import law
from law import CFM, HOUSE, OUTSIDE

EXPONENT_SD, WOBBLE, FAN_CAL, RANGE_CAL = 0.06, 0.4, 0.020, 0.015


# --- the network, solved ------------------------------------------------------

def pressures(edges, src, house, zones, start):
    """Zone pressures by Newton's method with halved steps while the balance
    gets worse; falls back to scipy.optimize.root."""
    p = [house, 0.0] + list(start)
    if not zones:
        return p
    for _ in range(200):
        g, jac = balance(edges, src, p, zones)
        step = numpy.linalg.solve(jac, g)
        size, alpha = energy_slope(g, step), 1.0
        while alpha > 1e-9:
            q = p[:2] + [a + alpha * s for a, s in zip(p[2:], step)]
            if energy_slope(balance(edges, src, q, zones)[0], step) >= -0.5 * size:
                break
            alpha /= 2
        p = q
        if max(abs(s) for s in step) < 1e-11:
            return p
    f = lambda x: balance(edges, src, [house, 0.0] + list(x), zones)[0]
    return [house, 0.0] + list(optimize.root(f, p[2:], options={"xtol": 1e-14}).x)


def energy_slope(g, step):
    return float(sum(a * b for a, b in zip(g, step)))


def balance(edges, src, p, zones):
    """Net inflow of each zone and minus its derivatives."""
    n = zones
    g, jac = [src[z + 2] for z in range(n)], [[0.0] * n for _ in range(n)]
    for a, b, q, e in edges:
        d = p[a] - p[b]
        f, s = law.flow(q, e, d), law.slope(q, e, d)
        i, j = a - 2, b - 2
        if i >= 0:
            g[i] -= f
            jac[i][i] += s
        if j >= 0:
            g[j] += f
            jac[j][j] += s
        if i >= 0 and j >= 0:
            jac[i][j] -= s
            jac[j][i] -= s
    return g, jac


# --- unknowns and residuals ----------------------------------------------------

class Posterior:
    def __init__(self, m):
        self.m, self.unknowns, self.zones = m, [], len(m["Spaces"]) - 2
        add = self.add
        for i, p in enumerate(m["Paths"]):
            add("path", i, math.log(p["Flow50"]["Median"]), p["Flow50"]["SDLn"])
            add("exponent", i, p["Exponent"]["Mean"], p["Exponent"]["SD"], 0.5, 1.0)
        for k, o in enumerate(m["Openings"]):
            if o["Area"] == 0:
                add("opening", k, math.log(o["Flow50"]["Median"]), o["Flow50"]["SDLn"])
            else:
                add("area", k, 0.0, o["AreaSDLn"])
        if any(o["Area"] > 0 and o["Cd"] == 0 for o in m["Openings"]):
            add("coefficient", 0, 0.0, m["CdSDLn"])
        for c, cal in enumerate(m["Calibrations"]):
            add("calibration", c, 0.0, cal["SDLn"])
        for h, hold in enumerate(m["Holds"]):
            add("house", h, hold["House"], None)
            for f, fan in enumerate(hold["Fans"]):
                add("fan", (h, f), math.log(fan["Flow"]), None)
        self.start = [[0.5 * hold["House"]] * self.zones for hold in m["Holds"]]

    def add(self, kind, index, mean, sd, low=-math.inf, high=math.inf):
        """sd None: no prior; sd 0: known, and so no unknown."""
        if sd is None or sd > 0:
            self.unknowns.append({"kind": kind, "index": index, "mean": mean, "sd": sd, "low": low, "high": high})

    def values(self, x):
        """Sizes, exponents and the rest at x, known ones filled in."""
        m = self.m
        get = {(u["kind"], u["index"]): v for u, v in zip(self.unknowns, x)}
        v = {"path": [math.exp(get.get(("path", i), math.log(p["Flow50"]["Median"]))) for i, p in enumerate(m["Paths"])],
             "exponent": [get.get(("exponent", i), p["Exponent"]["Mean"]) for i, p in enumerate(m["Paths"])],
             "opening": [], "cal": [get.get(("calibration", c), 0.0) for c in range(len(m["Calibrations"]))],
             "house": [get[("house", h)] for h in range(len(m["Holds"]))],
             "fans": [[math.exp(get[("fan", (h, f))]) for f in range(len(hold["Fans"]))] for h, hold in enumerate(m["Holds"])]}
        for k, o in enumerate(m["Openings"]):
            if o["Area"] == 0:
                v["opening"].append(math.exp(get.get(("opening", k), math.log(o["Flow50"]["Median"]))))
                continue
            common = get.get(("coefficient", 0), 0.0) if o["Cd"] == 0 else 0.0
            v["opening"].append(law.hole_flow50(o["Area"], o["Cd"] or 0.60, m["Air"]) * math.exp(common + get.get(("area", k), 0.0)))
        return v

    def states(self, v):
        """For each hold: pressures, edges, which are openings, fan net flow."""
        out = []
        for h, hold in enumerate(self.m["Holds"]):
            edges, opened = law.edges_of(self.m, hold, v["path"], v["exponent"], v["opening"])
            src = [0.0] * len(self.m["Spaces"])
            for fan, q in zip(hold["Fans"], v["fans"][h]):
                src[fan["From"]] -= q
                src[fan["To"]] += q
            p = pressures(edges, src, v["house"][h], self.zones, self.start[h])
            out.append((p, edges, opened, law.net_inflow(HOUSE, edges, p) + src[HOUSE]))
        return out

    def residuals(self, x):
        v = self.values(x)
        r = [(a - u["mean"]) / u["sd"] for a, u in zip(x, self.unknowns) if u["sd"]]
        off = lambda f, q: (math.log(f["Flow"]) - math.log(max(q, 1e-12)) - sum(v["cal"][c] for c in f["Cal"])) / f["SDLn"]
        for h, (hold, (p, edges, opened, net)) in enumerate(zip(self.m["Holds"], self.states(v))):
            r.append((hold["House"] - v["house"][h]) / hold["HouseSD"])
            if hold["Fan"]:
                r.append(off(hold["Fan"], -math.copysign(net, net * hold["House"])))
            for s in hold["Read"]:
                r.append((s["Pressure"] - (p[s["Of"]] - p[s["To"]])) / s["SD"])
            for s in hold["Flows"]:
                r.append(off(s, between(s, p, edges, opened)))
            for fan, q in zip(hold["Fans"], v["fans"][h]):
                r.append(off(fan, q))
        return numpy.array(r)

    def mode(self, starts, rng):
        """The lowest of several searches from starts drawn from the prior."""
        low = [u["low"] for u in self.unknowns]
        high = [u["high"] for u in self.unknowns]
        found = []
        for k in range(starts):
            x = [u["mean"] + (rng.gauss(0, 0.6 * u["sd"]) if k and u["sd"] else 0.0) for u in self.unknowns]
            x = [min(max(a, u["low"] + 1e-3), u["high"] - 1e-3) for a, u in zip(x, self.unknowns)]
            for tight in (1e-10, 1e-15):
                fit = optimize.least_squares(self.residuals, x, jac="3-point", bounds=(low, high), x_scale="jac",
                                             ftol=tight, xtol=tight, gtol=tight, max_nfev=300)
                x = fit.x
            found.append((2 * fit.cost, list(map(float, fit.x)), float(fit.optimality)))
        found.sort()
        return found


def between(s, p, edges, opened):
    """The flow between two spaces: through the opening there, else the path."""
    pairs = [(e, o) for e, o in zip(edges, opened) if {e[0], e[1]} == {s["Of"], s["To"]}]
    use = [e for e, o in pairs if o] or [e for e, o in pairs]
    return sum(law.flow(q, n, p[s["Of"]] - p[s["To"]]) for _, _, q, n in use)


# --- simulated sheets ------------------------------------------------------------

PRIOR = {("house", "outside"): (1500, 0.65), ("house", "attic"): (300, 0.65), ("attic", "outside"): (2000, 0.60),
         ("house", "garage"): (150, 0.65), ("garage", "outside"): (1000, 0.65), ("garage", "attic"): (100, 0.65),
         ("house", "crawlspace"): (250, 0.65), ("crawlspace", "outside"): (1500, 0.60), ("house", "basement"): (1000, 0.65),
         ("basement", "outside"): (300, 0.65), ("house", "ducts"): (3000, 0.5), ("ducts", "outside"): (100, 0.60),
         ("ducts", "attic"): (100, 0.60), ("house", "ducts covered"): (50, 0.65)}


def prior_path(names, a, b, covered=False):
    key = (a, b + " covered") if covered else (a, b)
    q, n = PRIOR[key]
    sd = 0.0 if n == 0.5 else EXPONENT_SD
    return law.path(names.index(a), names.index(b), q * CFM, 1.5, n, sd, covered)


def gauge_sd(p):
    return math.hypot(0.5 * max(0.01 * abs(p), 0.25), WOBBLE)


def simulate(name, m, truth, reads, fans, flows, rng):
    """Puts readings into a model's holds from true sizes.  truth: what values()
    returns.  reads: pairs (of, to) a hold; fans: which holds have a fan flow."""
    post = Posterior(m)
    post.start = [[0.5 * h] * post.zones for h in truth["house"]]
    for h, (hold, (p, edges, opened, net)) in enumerate(zip(m["Holds"], post.states(truth))):
        sd = gauge_sd(p[0])
        hold["House"], hold["HouseSD"] = round(p[0] + rng.gauss(0, sd), 1), sd
        for of, to in reads[h]:
            sd = gauge_sd(p[of] - p[to])
            hold["Read"].append({"Of": of, "To": to, "Pressure": round(p[of] - p[to] + rng.gauss(0, sd), 1), "SD": sd})
        read = lambda q, cal: {"Flow": q * math.exp(rng.gauss(0, 0.01) + sum(truth["cal"][c] for c in cal)), "SDLn": 0.01, "Cal": cal}
        if fans[h] is not None:
            hold["Fan"] = read(abs(net), fans[h])
        for of, to in flows.get(h, []):
            s = {"Of": of, "To": to}
            s.update(read(between(s, p, edges, opened), []), SDLn=0.05)
            hold["Flows"].append(s)
        for f, q in zip(hold["Fans"], truth["fans"][h]):
            f.update(read(q, f["Cal"]))
    return {"name": name, "truth": truth, "model": m}


def make(name, rng, names, pairs, houses, openings=(), opened=(), sealed=(), covered=(), fans=None, reads=None, flows=None,
         second=(), sizes=None, pressurised=False, known_exponents=False, cals=2, covered_paths=()):
    """One sheet: a true house near its prior medians, and readings of it."""
    at = names.index
    paths = [prior_path(names, a, b) for a, b in pairs] + [prior_path(names, a, b, True) for a, b in covered_paths]
    if known_exponents:
        for p in paths:
            p["Exponent"]["SD"] = 0.0
    ops = [law.opening(n, at(a), at(b), **kw) for n, a, b, kw in openings]
    n_holds = len(houses)
    pick = lambda seq, h: list(seq[h]) if h < len(seq) else []
    sign = 1 if pressurised else -1
    holds = []
    for h in range(n_holds):
        hold = law.hold("hold %d" % (h + 1), sign * houses[h], 0.5, pick(opened, h), pick(sealed, h), pick(covered, h),
                        [law.fan(at(a), at(b), q, 0.01, [cals]) for a, b, q in pick(second, h)])
        holds.append(hold)
    calibrations = [{"Name": "door fan", "SDLn": FAN_CAL}, {"Name": "range open", "SDLn": RANGE_CAL}][:cals]
    if any(h["Fans"] for h in holds):
        calibrations.append({"Name": "second fan", "SDLn": FAN_CAL})
    m = law.model(names, paths, ops, holds, calibrations, cd_sd_ln=0.05)
    truth = {"path": [p["Flow50"]["Median"] * math.exp(0.5 * rng.gauss(0, 1)) for p in paths],
             "exponent": [min(0.95, max(0.52, p["Exponent"]["Mean"] + rng.gauss(0, 1) * min(0.04, p["Exponent"]["SD"]))) if p["Exponent"]["SD"] else p["Exponent"]["Mean"] for p in paths],
             "opening": [], "cal": [rng.gauss(0, c["SDLn"]) for c in calibrations], "house": [h["House"] for h in holds],
             "fans": [[f["Flow"] for f in h["Fans"]] for h in holds]}
    if sizes:
        truth["path"] = [q * CFM for q in sizes]
        truth["exponent"] = [0.65] * len(paths)
    common = rng.gauss(0, 0.05)
    for o in ops:
        if o["Area"] > 0:
            truth["opening"].append(law.hole_flow50(o["Area"], o["Cd"] or 0.6, m["Air"]) * math.exp((common if o["Cd"] == 0 else 0) + rng.gauss(0, o["AreaSDLn"])))
        else:
            truth["opening"].append(o["Flow50"]["Median"] * math.exp(0.5 * rng.gauss(0, 1)))
    zones = range(2, len(names))
    reads = reads or [[(z, HOUSE) for z in zones]] * n_holds
    fans = fans or [list(range(min(cals, 2)))] * n_holds
    return simulate(name, m, truth, reads, fans, flows or {}, rng)


HATCH = {"flow50": 3000 * CFM, "sd_ln": 2.0}
HOLE = lambda in2, **kw: dict({"area": in2 * 0.00064516, "area_sd_ln": 0.03}, **kw)
ATTIC = ["house", "outside", "attic"]
GARAGE = ["house", "outside", "garage"]
TWO = ["house", "outside", "attic", "garage"]
STAR = [("house", "outside"), ("house", "attic"), ("attic", "outside")]
GSTAR = [("house", "outside"), ("house", "garage"), ("garage", "outside")]
BOTH = STAR + GSTAR[1:]
COUPLED = BOTH + [("garage", "attic")]


def all_sheets(rng):
    two_holds = [50.0, 49.0]
    yield make("attic, one hold", rng, ATTIC, STAR, [50.0])
    yield make("attic, hatch opened", rng, ATTIC, STAR, two_holds, [("hatch", "house", "attic", HATCH)], [[], [0]])
    yield make("attic, hole to the house, no second fan reading", rng, ATTIC, STAR, two_holds,
               [("hole", "house", "attic", HOLE(40))], [[], [0]], fans=[[0, 1], None])
    yield make("attic, holes on both sides", rng, ATTIC, STAR, [50.0, 50.0, 47.0],
               [("hole", "house", "attic", HOLE(40)), ("vent", "attic", "outside", HOLE(60, cd=0.65))], [[], [0], [1]])
    yield make("garage opened to outside, pressurised", rng, GARAGE, GSTAR, two_holds,
               [("door", "garage", "outside", HATCH)], [[], [0]], pressurised=True)
    yield make("garage, exponents known, both pressures read", rng, GARAGE, GSTAR, two_holds,
               [("door", "house", "garage", HATCH)], [[], [0]], known_exponents=True,
               reads=[[(2, HOUSE), (2, OUTSIDE)], [(2, OUTSIDE)]])
    yield make("attic and garage, not coupled", rng, TWO, BOTH, [50.0, 50.0, 48.0],
               [("hatch", "house", "attic", HATCH), ("door", "garage", "outside", HATCH)], [[], [0], [1]])
    yield make("garage below attic, coupled", rng, TWO, COUPLED, [50.0, 50.0, 50.0, 45.0],
               [("hatch", "house", "attic", HATCH), ("garage door", "garage", "outside", HATCH), ("door", "house", "garage", HATCH)],
               [[], [0], [1], [2]], sizes=[1000, 300, 1500, 100, 300, 200])
    yield make("garage nulled with a second fan", rng, GARAGE, GSTAR, two_holds, second=[[], [("garage", "outside", 900 * CFM)]])
    yield make("ducts in the attic, registers covered, flow at one register", rng, ATTIC + ["ducts"],
               STAR + [("house", "ducts"), ("ducts", "outside"), ("ducts", "attic")], [50.0, 50.0, 50.0],
               [("register", "house", "ducts", HOLE(30, cd=0.6))], [[], [], [0]],
               sealed=[[], [3], [3]], covered=[[], [6], [6]], covered_paths=[("house", "ducts")], flows={2: [(3, HOUSE)]})
    yield make("house alone, five pressures", rng, ["house", "outside"], STAR[:1], [60.0, 50.0, 40.0, 30.0, 20.0])
    yield make("crawlspace and basement", rng, ["house", "outside", "crawlspace", "basement"],
               [("house", "outside"), ("house", "crawlspace"), ("crawlspace", "outside"), ("house", "basement"), ("basement", "outside")],
               [50.0, 35.0, 50.0], [("door", "house", "basement", HATCH), ("hole", "house", "crawlspace", HOLE(80))], [[], [0], [1]],
               fans=[[0, 1], [0], None], cals=2)
    yield make("three zones, one coupling", rng, TWO + ["crawlspace"], COUPLED + [("house", "crawlspace"), ("crawlspace", "outside")],
               [50.0, 50.0, 48.0], [("hatch", "house", "attic", HATCH), ("garage door", "garage", "outside", HATCH)], [[], [0], [1]])


def solve(sheet, rng):
    post = Posterior(sheet["model"])
    found = post.mode(4, rng)
    best = found[0]
    same = [f for f in found if f[0] - best[0] < 1e-6]
    spread = max(max(abs(a - b) for a, b in zip(best[1], f[1])) for f in same)
    v = post.values(best[1])
    sheet["mode"] = {
        "sum_squares": best[0], "sum_squares_of_starts": [f[0] for f in found], "starts_at_mode": len(same), "spread": spread,
        "optimality": best[2],
        "unknowns": [{"kind": u["kind"], "index": u["index"], "value": x} for u, x in zip(post.unknowns, best[1])],
        "path_flow_50": v["path"], "exponent": v["exponent"], "opening_flow_50": v["opening"], "house": v["house"],
        "calibration": v["cal"], "pressures": [s[0] for s in post.states(v)], "fan": [s[3] for s in post.states(v)]}
    print("%s: %d unknowns, sum of squares %.6f, %d of %d starts, spread %.1e" % (
        sheet["name"], len(post.unknowns), best[0], len(same), len(found), spread), file=sys.stderr, flush=True)
    return sheet


def main():
    rng = random.Random(50)
    sheets = [solve(s, random.Random(i)) for i, s in enumerate(all_sheets(rng))]
    json.dump({"made_with": {"python": platform.python_version(), "scipy": scipy.__version__, "numpy": numpy.__version__},
               "sheets": sheets}, sys.stdout, indent=1)
    print()


if __name__ == "__main__":
    main()
