"""Times a scipy pipeline from mesh to reconstruction matrix, one thread, at about the number of triangles asked for.

Complete electrode model on a disc, P1 triangles, 16 electrodes, adjacent drive, 208 readings:
  assemble  stiffness + electrode terms as a sparse matrix
  factor    scipy.sparse.linalg.splu
  solve     16 drives (the adjacent reading patterns are the same 16 fields)
  jacobian  208 x triangles by the adjoint: -area * grad u_drive . grad u_reading
  matrix    Tikhonov in reading space: R = P J' (J P J' + lambda W)^-1, diagonal prior P, W identity
Making the mesh is not timed. Prints one JSON object: seconds of processor time, median of 20 runs, and the fastest whole run.

usage: setup.py TRIANGLES
"""
import json, os, sys, time

threads = 1
FIXED = ("OPENBLAS_CORETYPE", "OPENBLAS_L2_SIZE")
if any(k in os.environ for k in FIXED) or os.environ.get("OPENBLAS_NUM_THREADS") != str(threads):
    env = {k: v for k, v in os.environ.items() if k not in FIXED}
    env.update(OPENBLAS_NUM_THREADS=str(threads), OMP_NUM_THREADS=str(threads))
    os.execve(sys.executable, [sys.executable, os.path.abspath(__file__)] + sys.argv[1:], env)

import numpy as np, scipy, scipy.linalg as sl, scipy.sparse as sp
from scipy.sparse.linalg import splu
from scipy.spatial import Delaunay

L, RADIUS, WIDTH, Z, SIGMA, LAMBDA = 16, .08, .01, 5e-3, .35, 1e-3


def mesh(per_electrode, per_gap, h):
    """Boundary with every electrode end a node; rings inside, growing to the spacing h."""
    half, pitch = WIDTH/2/RADIUS, 2*np.pi/L
    t, el = [], []
    for l in range(L):
        t += list(l*pitch - half + 2*half*np.arange(per_electrode)/per_electrode); el += [l]*per_electrode
        t += list(l*pitch + half + (pitch - 2*half)*np.arange(per_gap)/per_gap); el += [-1]*per_gap
    nb = len(t); t = np.array(t)
    p = [np.c_[RADIUS*np.cos(t), RADIUS*np.sin(t)]]
    r, step, j = RADIUS, 2*np.pi*RADIUS/nb*.87, 0
    while r - step > .6*h:
        r -= step; n = max(6, int(round(2*np.pi*r/step))); q = 2*np.pi*(np.arange(n) + .5*(j % 2))/n; j += 1
        p.append(np.c_[r*np.cos(q), r*np.sin(q)]); step = min(step*1.15, h)
    p.append(np.zeros((1, 2)))
    p = np.vstack(p); tri = Delaunay(p).simplices
    e1, e2 = p[tri[:, 1]] - p[tri[:, 0]], p[tri[:, 2]] - p[tri[:, 0]]
    area = (e1[:, 0]*e2[:, 1] - e1[:, 1]*e2[:, 0])/2
    keep = np.abs(area) > 1e-4*np.median(np.abs(area)); tri, area = tri[keep], area[keep]
    tri[area < 0] = tri[area < 0][:, [0, 2, 1]]
    i = np.arange(nb)
    return p, tri, np.c_[i, (i + 1) % nb], np.array(el)


def pipeline(p, tri, edges, el):
    T = {}; clock = time.process_time
    t = clock()
    n = len(p); x = p[tri]
    b = x[:, [1, 2, 0], 1] - x[:, [2, 0, 1], 1]; c = x[:, [2, 0, 1], 0] - x[:, [1, 2, 0], 0]
    area = (c[:, 2]*b[:, 1] - c[:, 1]*b[:, 2])/2
    G = np.stack((b, c), 1)/(2*area)[:, None, None]             # gradients of the hat functions, tri x 2 x 3
    K = (SIGMA*area)[:, None, None]*(G.transpose(0, 2, 1) @ G)
    on = el >= 0; e, l = edges[on], el[on]; s = np.hypot(*(p[e[:, 0]] - p[e[:, 1]]).T)/Z
    # the last electrode is pinned to 0 V (its row and column go); the mean is taken off after the solve
    I = [np.repeat(tri, 3, 1).ravel()]; J = [np.tile(tri, (1, 3)).ravel()]; X = [K.ravel()]
    for i in (0, 1):
        for j in (0, 1):
            I.append(e[:, i]); J.append(e[:, j]); X.append(s*(1/3 if i == j else 1/6))
        I += [e[:, i], n + l]; J += [n + l, e[:, i]]; X += [-s/2, -s/2]
    I.append(n + l); J.append(n + l); X.append(s)
    A = sp.csc_matrix((np.concatenate(X), (np.concatenate(I), np.concatenate(J))), (n + L, n + L))[:-1, :-1]
    T["assemble"] = clock() - t

    t = clock()
    f = splu(A, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options=dict(SymmetricMode=True))
    T["factor"] = clock() - t

    t = clock()
    B = np.zeros((n + L, L)); k = np.arange(L); B[n + k, k] = 1; B[n + (k + 1) % L, k] = -1
    u = np.zeros((n + L, L)); u[:-1] = f.solve(B[:-1])
    U = u[n:] - u[n:].mean(0)
    D = U - np.roll(U, -1, 0)                                   # D[m, k]: reading pair m of drive k
    drive = np.repeat(k, L - 3); pair = ((k[:, None] + np.arange(2, L - 1)) % L).ravel()
    V = D[pair, drive]
    T["solve"] = clock() - t

    t = clock()
    g = G @ u[tri]                                              # tri x 2 x drives
    gx, gy = np.ascontiguousarray(g[:, 0].T), np.ascontiguousarray(g[:, 1].T)
    Jm = np.empty((len(drive), len(tri)))
    for q in range(L):                                          # the drive's 13 readings at once
        rows = slice(q*(L - 3), (q + 1)*(L - 3)); m = pair[rows]
        Jm[rows] = -(gx[m]*gx[q] + gy[m]*gy[q])*area
    T["jacobian"] = clock() - t

    t = clock()
    P = 1/np.sqrt((Jm**2).sum(0))                               # diagonal prior, exponent 0.5
    JP = Jm*P
    M = JP @ Jm.T; M[np.diag_indices(len(M))] += LAMBDA*np.trace(M)/len(M)
    R = sl.cho_solve(sl.cho_factor(M), JP).T                    # M symmetric: (M^-1 J P)' = P J' M^-1
    R = np.ascontiguousarray(R, np.float32)
    T["matrix"] = clock() - t
    T["total"] = sum(T.values())
    return T, V, Jm, R, (A, f)


def mesh_of(triangles):
    """The mesh whose count comes nearest to the one asked for: the spacing h is found by bisection."""
    low, high = .001, .02
    for _ in range(30):
        h = (low + high)/2
        m = mesh(4, 6, h) if triangles < 6000 else mesh(8, 14, h)
        if abs(len(m[1]) - triangles) < .01*triangles: break
        if len(m[1]) > triangles: low = h
        else: high = h
    return m


m = mesh_of(int(sys.argv[1]))
times = []
for _ in range(22):                                         # the first two warm up; only the last result is kept
    t, V, Jm, R, _ = pipeline(*m); times.append(t)
times = times[2:]
T = {k: round(float(np.median([r[k] for r in times])), 5) for k in times[0]}
print(json.dumps(dict(triangles=len(m[1]), nodes=len(m[0]), readings=len(V), scipy=scipy.__version__, **T,
                      fastestTotal=round(min(r["total"] for r in times), 5))))
