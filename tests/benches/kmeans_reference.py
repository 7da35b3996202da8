"""scikit-learn's KMeans on raw points: prints seconds and inertia. Usage: FILE K N_INIT"""
import sys
import time

import numpy
from sklearn.cluster import KMeans

points = numpy.fromfile(sys.argv[1], dtype=numpy.float32).reshape(-1, 3)
k, n_init = int(sys.argv[2]), int(sys.argv[3])
# The first call loads and starts things; it is not timed.
KMeans(n_clusters=k, n_init=1, random_state=0, max_iter=2).fit(points[:1000])
start = time.perf_counter()
found = KMeans(n_clusters=k, n_init=n_init, random_state=0).fit(points)
print(time.perf_counter() - start, found.inertia_)
