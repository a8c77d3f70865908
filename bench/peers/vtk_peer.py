"""Asks VTK what bench asks it on standard input, one kernel a line."""
import sys
import time

import numpy as np
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkDoubleArray, vtkObject, vtkSMPTools, vtkVersion
from vtkmodules.vtkFiltersCore import vtkFeatureEdges, vtkStripper
from vtkmodules.vtkFiltersGeneral import vtkCurvatures
from vtkmodules.vtkFiltersModeling import vtkDijkstraGraphGeodesicPath
from vtkmodules.vtkIOGeometry import vtkSTLReader
from vtkmodules.vtkIOPLY import vtkPLYReader

folder = sys.argv[1]
vtkSMPTools.Initialize(1)
vtkObject.GlobalWarningDisplayOff()  # on curvature, once a vertex


def read(reader, name):
    r = reader()
    r.SetFileName(folder + "/" + name)
    r.Update()
    return r.GetOutput()


surface = read(vtkPLYReader, "mesh.ply")


def read_stl():
    return read(vtkSTLReader, "mesh.stl").GetNumberOfPoints(), np.empty(0)


def read_ply():
    return read(vtkPLYReader, "mesh.ply").GetNumberOfPoints(), np.empty(0)


def loops():
    rim = vtkFeatureEdges()
    rim.SetInputData(surface)
    rim.FeatureEdgesOff()
    rim.ManifoldEdgesOff()
    rim.NonManifoldEdgesOff()
    rim.ColoringOff()
    chain = vtkStripper()
    chain.JoinContiguousSegmentsOn()
    chain.SetMaximumLength(100_000_000)
    chain.SetInputConnection(rim.GetOutputPort())
    chain.Update()
    return chain.GetOutput().GetNumberOfCells(), np.empty(0)


def curvature():
    for most in (True, False):
        c = vtkCurvatures()
        c.SetInputData(surface)
        if most:
            c.SetCurvatureTypeToMaximum()
        else:
            c.SetCurvatureTypeToMinimum()
        c.Update()
    return surface.GetNumberOfPoints(), np.empty(0)


def ways():
    d = vtkDijkstraGraphGeodesicPath()
    d.SetInputData(surface)
    d.SetStartVertex(0)
    d.SetEndVertex(0)
    d.StopWhenEndReachedOff()
    d.Update()
    w = vtkDoubleArray()
    d.GetCumulativeWeights(w)
    return surface.GetNumberOfPoints(), vtk_to_numpy(w).astype(np.float64)


kernels = {"read stl": read_stl, "read ply": read_ply, "loops": loops, "curvature": curvature, "ways": ways}
print("VTK", vtkVersion.GetVTKVersion(), flush=True)
for line in sys.stdin:
    start = time.process_time()
    count, out = kernels[line.strip()]()
    took = time.process_time() - start
    out.tofile(folder + "/answers")
    print("%.9f %d %d" % (took, count, len(out)), flush=True)
