"""Registers pairs of meshes with Open3D, point to plane, for internal/outside.

Reads a JSON list of {src, dst, start, reach, tukey} from standard input: two STL
files, a start as four rows, the longest distance of a pair in mm and the width of
the robust loss in mm (0: plain least squares). Writes the list of found motions, as
four rows each.
"""

import json
import sys

import numpy
import open3d


def cloud(file):
    mesh = open3d.io.read_triangle_mesh(file)
    mesh.remove_duplicated_vertices()
    mesh.compute_vertex_normals()
    out = open3d.geometry.PointCloud(mesh.vertices)
    out.normals = mesh.vertex_normals
    return out


def register(ask):
    icp = open3d.pipelines.registration
    loss = icp.TukeyLoss(ask["tukey"]) if ask["tukey"] else icp.L2Loss()
    found = icp.registration_icp(
        cloud(ask["src"]),
        cloud(ask["dst"]),
        ask["reach"],
        numpy.array(ask["start"]),
        icp.TransformationEstimationPointToPlane(loss),
        icp.ICPConvergenceCriteria(1e-12, 1e-12, 200),
    )
    return found.transformation.tolist()


json.dump([register(a) for a in json.load(sys.stdin)], sys.stdout)
