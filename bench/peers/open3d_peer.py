"""Asks Open3D what bench asks it on standard input, one kernel a line."""
import sys
import time

import numpy as np
import open3d as o3d

folder = sys.argv[1]
with open(folder + "/mesh.raw", "rb") as f:
    nv, nf = np.fromfile(f, np.uint32, 2)
    pos = np.fromfile(f, np.float32, 3 * nv).reshape(-1, 3).astype(np.float64)
    tri = np.fromfile(f, np.int32, 3 * nf).reshape(-1, 3)
moved = np.fromfile(folder + "/moved.raw", np.float32, offset=4).reshape(-1, 3).astype(np.float64)

mesh = o3d.geometry.TriangleMesh(o3d.utility.Vector3dVector(pos), o3d.utility.Vector3iVector(tri))
mesh.compute_vertex_normals()
target = o3d.geometry.PointCloud(mesh.vertices)
target.normals = mesh.vertex_normals
source = o3d.geometry.PointCloud(o3d.utility.Vector3dVector(moved))
reg = o3d.pipelines.registration


def register():
    r = reg.registration_icp(
        source, target, 2.0, np.eye(4), reg.TransformationEstimationPointToPlane(),
        reg.ICPConvergenceCriteria(1e-6, 1e-6, 100))
    return len(moved), np.asarray(r.transformation, np.float64)[:3].ravel()


def pieces():
    return len(mesh.cluster_connected_triangles()[1]), np.empty(0)


def read_ply():
    return len(o3d.io.read_triangle_mesh(folder + "/mesh.ply").vertices), np.empty(0)


kernels = {"register": register, "pieces": pieces, "read ply": read_ply}
print("Open3D", o3d.__version__, flush=True)
for line in sys.stdin:
    start = time.process_time()
    count, out = kernels[line.strip()]()
    took = time.process_time() - start
    out.tofile(folder + "/answers")
    print("%.9f %d %d" % (took, count, len(out)), flush=True)
