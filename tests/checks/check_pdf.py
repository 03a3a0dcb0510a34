#!/usr/bin/python3
# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
# Source: written by the project's auditors, apart from the program and knowing nothing of it; kept word for word.
"""Is a printable template really full size?   check_pdf.py template.pdf holes.json [--tol 0.02] [--sx 1 --sy 1]
holes.json: [{"id","x","y","d"}] in mm.  Needs qpdf, pdftoppm, numpy.  Knows nothing of the tool's tiling:
each page's circles must equal a subset of the holes under a pure shift (no turn, no scale but sx, sy); every
hole must appear on some page.  (a) exact: circles from the content stream; (b) print-like: 300 dpi raster,
ring fitted by least squares at the places (a) gave.  Beware: `pdftocairo -svg` rescales odd page sizes
(0.9998 seen) and is no yardstick."""
import argparse, glob, json, os, re, subprocess, sys, tempfile
import numpy as np

MM = 72/25.4
TOK = re.compile(rb"\((?:\\.|[^\\)])*\)|<[0-9A-Fa-f\s]*>|\[|\]|/[^\s\[\]()<>/]+|[-+]?(?:\d+\.?\d*|\.\d+)|[A-Za-z*'\"]+")


def page_streams(pdf):
    q = tempfile.mktemp(suffix=".pdf")
    subprocess.run(["qpdf", "--qdf", "--object-streams=disable", "--coalesce-contents", pdf, q], check=False)
    b = open(q, "rb").read()
    os.unlink(q)
    objs = {int(m[1]): m[2] for m in re.finditer(rb"\n(\d+) 0 obj\n(.*?)\nendobj", b, re.S)}
    pages = []
    for m in re.finditer(rb"\n%% Page \d+\n(?:%%[^\n]*\n)*(\d+) 0 obj\n(.*?)\nendobj", b, re.S):
        d = m[2]
        box = [float(v) for v in re.search(rb"/MediaBox\s*\[([^\]]*)\]", d)[1].split()]
        uu = re.search(rb"/UserUnit\s+([\d.]+)", d)
        c = int(re.search(rb"/Contents\s+(\d+) 0 R", d)[1])
        s = re.search(rb"\nstream\n(.*)\nendstream", objs[c], re.S)[1]
        pages.append((box, float(uu[1]) if uu else 1.0, s))
    return pages


def circles(s):
    st, ctm, stack, path, out = [], np.eye(3), [], [], []
    for t in TOK.findall(s):
        if re.fullmatch(rb"[-+]?(?:\d+\.?\d*|\.\d+)", t):
            st.append(float(t)); continue
        if t == b"q": stack.append(ctm.copy())
        elif t == b"Q": ctm = stack.pop() if stack else np.eye(3)
        elif t == b"cm":
            a, b, c, d, e, f = st[-6:]
            ctm = np.array([[a, b, 0], [c, d, 0], [e, f, 1]])@ctm
        elif t in (b"m", b"l"): path.append((t, [np.array([*st[-2:], 1])@ctm]))
        elif t == b"c": path.append((t, [np.array([*st[i:(i+2) or None], 1])@ctm for i in (-6, -4, -2)]))
        elif t in (b"S", b"s", b"f", b"F", b"f*", b"B", b"b", b"n"):
            # split at m; a circle is a subpath of curves only
            sub, subs = [], []
            for k in path:
                if k[0] == b"m":
                    if sub: subs.append(sub)
                    sub = [k]
                else: sub.append(k)
            if sub: subs.append(sub)
            for sb in subs:
                if t != b"n" and len(sb) >= 3 and all(k[0] == b"c" for k in sb[1:]):
                    p0 = sb[0][1][0]; pts = []
                    u = np.linspace(0, 1, 25)[:, None]
                    for _, (p1, p2, p3) in sb[1:]:
                        pts.append((1-u)**3*p0+3*u*(1-u)**2*p1+3*u*u*(1-u)*p2+u**3*p3); p0 = p3
                    P = np.vstack(pts)[:, :2]/MM
                    if np.hypot(*(P[0]-P[-1])) > .05: continue
                    sol = np.linalg.lstsq(np.c_[P, np.ones(len(P))], (P**2).sum(1), rcond=None)[0]
                    c = sol[:2]/2; r = np.sqrt(max(sol[2]+c@c, 0))
                    if np.abs(np.hypot(*(P-c).T)-r).max() < .02*r+.02: out.append((*c, 2*r, np.abs(np.hypot(*(P-c).T)-r).max()))
            path = []
        if t not in (b"[", b"]"): st = []
    return np.array(out)


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("pdf"); ap.add_argument("holes"); ap.add_argument("--tol", type=float, default=.02)
    ap.add_argument("--sx", type=float, default=1); ap.add_argument("--sy", type=float, default=1); ap.add_argument("--raster", type=int, default=300)
    a = ap.parse_args()
    H = json.load(open(a.holes)); T = np.array([[h["x"]*a.sx, h["y"]*a.sy, h["d"]] for h in H])
    seen, worst, bad = set(), 0, []
    tmp = tempfile.mkdtemp()
    subprocess.run(["pdftoppm", "-r", str(a.raster), "-gray", a.pdf, tmp+"/r"], check=True)
    ras = sorted(glob.glob(tmp+"/r-*.pgm")); rerr = []
    k = a.raster/25.4
    for n, (box, uu, s) in enumerate(page_streams(a.pdf)):
        C = circles(s)
        if uu != 1: bad.append(f"page {n+1}: UserUnit {uu}")
        if not len(C): continue
        # vote for the shift
        d = (C[:, None, :2]-T[None, :, :2]).reshape(-1, 2)
        ok = (np.abs(C[:, None, 2]-T[None, :, 2]) < .3).ravel()
        d = d[ok]
        if not len(d): continue
        cnt = [(np.hypot(*(d-x).T) < .1).sum() for x in d]
        sh = d[np.hypot(*(d-d[int(np.argmax(cnt))]).T) < .1].mean(0)
        if max(cnt) < 2 and len(C) > 2: bad.append(f"page {n+1}: circles do not fit the holes at full size"); continue
        e = np.hypot(C[:, None, 0]-T[None, :, 0]-sh[0], C[:, None, 1]-T[None, :, 1]-sh[1])
        im = open(ras[n], "rb").read(); m = re.match(rb"P5\s+(\d+)\s+(\d+)\s+(\d+)\s", im)
        g = 255-np.frombuffer(im[m.end():], np.uint8).reshape(int(m[2]), int(m[1])).astype(float)
        ph = (box[3]-box[1])/MM
        for q in range(len(T)):
            if e[:, q].min() < .3:
                seen.add(q); i = e[:, q].argmin(); worst = max(worst, e[i, q])
                if abs(C[i, 2]-T[q, 2]*(a.sx*a.sy)**.5) > a.tol+T[q, 2]*abs(a.sx-a.sy)/2: bad.append(f"page {n+1} {H[q]['id']}: diameter {C[i, 2]:.3f} for {T[q, 2]*(a.sx*a.sy)**.5:.3f}")
                X, Y, r = (T[q, 0]+sh[0]-box[0]/MM)*k, (ph-(T[q, 1]+sh[1]-box[1]/MM))*k, T[q, 2]/2*k
                lo, hi = int(r+8), int(r+9)
                if X-lo < 0 or Y-lo < 0 or X+hi >= g.shape[1] or Y+hi >= g.shape[0]: continue
                iy, ix = np.mgrid[int(Y)-lo:int(Y)+hi, int(X)-lo:int(X)+hi]
                w, dx, dy = g[iy, ix], ix+.5-X, iy+.5-Y
                rr, an = np.hypot(dx, dy), np.arctan2(dy, dx)
                mk = (abs(rr-r) < 4) & (np.abs((an+np.pi/4) % (np.pi/2)-np.pi/4) > .25) & (w > 20)
                if mk.sum() < 30: continue
                sw = np.sqrt(w[mk]); sol = np.linalg.lstsq(np.c_[dx[mk], dy[mk], np.ones(mk.sum())]*sw[:, None], (dx[mk]**2+dy[mk]**2)*sw, rcond=None)[0]
                if len(set(((np.arctan2(dy[mk], dx[mk])+np.pi)//(np.pi/6)).astype(int))) < 12: continue      # cut by the page edge
                d_ = np.hypot(dx-sol[0]/2, dy-sol[1]/2); mk &= abs(d_-np.median(d_[mk])) < 1.8                # foreign lines out
                sw = np.sqrt(w[mk]); sol = np.linalg.lstsq(np.c_[dx[mk], dy[mk], np.ones(mk.sum())]*sw[:, None], (dx[mk]**2+dy[mk]**2)*sw, rcond=None)[0]
                rerr.append(np.hypot(sol[0], sol[1])/2/k)
    miss = [H[q]["id"] for q in range(len(T)) if q not in seen]
    if miss: bad.append(f"holes on no page: {miss}")
    if worst > a.tol: bad.append(f"max position error {worst:.4f} mm")
    print(f"pages {n+1}, holes {len(seen)}/{len(T)}, max position error in the drawing {worst:.4f} mm; raster {a.raster} dpi: {len(rerr)} rings, median {np.median(rerr) if rerr else float('nan'):.4f} max {max(rerr) if rerr else float('nan'):.4f} mm")
    for b in bad: print("FAIL", b)
    print(f"{int(not bad)} passed, {int(bool(bad))} failed")
    sys.exit(bool(bad))


main()
