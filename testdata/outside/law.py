"""The leak law and the pieces of a model, as plain Python.

Written from the statement of the law alone: Q = C dp (dp^2 + eps^2)^((n-1)/2),
the power law C |dp|^n sign(dp) rounded off about zero with eps = 0.05 Pa.  All
numbers SI, pressures in Pa with reference to outside.  Space 0 is the house and
space 1 outside.
"""
import math

HOUSE, OUTSIDE = 0, 1
ROUNDING = 0.05
CFM = 0.3048 ** 3 / 60


def flow(flow50, n, dp):
    """Flow in m3/s through a leak whose power law passes flow50 at 50 Pa."""
    c = flow50 / 50.0 ** n
    return c * dp * (dp * dp + ROUNDING ** 2) ** ((n - 1) / 2)


def slope(flow50, n, dp):
    """Derivative of flow with respect to dp."""
    c = flow50 / 50.0 ** n
    s = dp * dp + ROUNDING ** 2
    return c * s ** ((n - 1) / 2) * (1 + (n - 1) * dp * dp / s)


def hole_flow50(area, cd, air):
    """Flow at 50 Pa through a sharp-edged hole."""
    return cd * area * math.sqrt(2 * 50.0 / air)


def edges_of(model, hold, path_size, path_exponent, opening_size):
    """Edges (a, b, flow50, n) that exist in a hold, and which are openings."""
    edges, opened = [], []
    for i, p in enumerate(model["Paths"]):
        if i in hold["Sealed"] or (p["Covered"] and i not in hold["Covered"]):
            continue
        edges.append((p["A"], p["B"], path_size[i], path_exponent[i]))
        opened.append(False)
    for k in hold["Opened"]:
        o = model["Openings"][k]
        edges.append((o["A"], o["B"], opening_size[k], 0.5))
        opened.append(True)
    return edges, opened


def net_inflow(space, edges, p):
    """Net flow into a space through edges, m3/s."""
    total = 0.0
    for a, b, q, n in edges:
        if a == space:
            total -= flow(q, n, p[a] - p[b])
        elif b == space:
            total += flow(q, n, p[a] - p[b])
    return total


# --- making models -----------------------------------------------------------

def path(a, b, flow50, sd_ln=0.0, n=0.65, sd_n=0.0, covered=False):
    return {"A": a, "B": b, "Flow50": {"Median": flow50, "SDLn": sd_ln},
            "Exponent": {"Mean": n, "SD": sd_n}, "Covered": covered}


def opening(name, a, b, flow50=0.0, sd_ln=0.0, area=0.0, cd=0.0, area_sd_ln=0.0):
    return {"Name": name, "A": a, "B": b, "Flow50": {"Median": flow50, "SDLn": sd_ln},
            "Area": area, "Cd": cd, "AreaSDLn": area_sd_ln}


def hold(name, house, house_sd=0.0, opened=(), sealed=(), covered=(), fans=()):
    return {"Name": name, "House": house, "HouseSD": house_sd, "Fan": None, "Opened": list(opened),
            "Sealed": list(sealed), "Covered": list(covered), "Fans": list(fans), "Read": [], "Flows": []}


def fan(a, b, q, sd_ln=0.0, cal=()):
    return {"From": a, "To": b, "Flow": q, "SDLn": sd_ln, "Cal": list(cal)}


def model(names, paths, openings, holds, calibrations=(), cd_sd_ln=0.0):
    return {"Spaces": [{"Name": n} for n in names], "Paths": paths, "Openings": openings,
            "Calibrations": list(calibrations), "Holds": holds, "CdSDLn": cd_sd_ln, "Air": 1.204}
