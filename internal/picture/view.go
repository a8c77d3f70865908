package picture

import (
	"math"

	"selvage/r3"
)

// View is an orthographic camera.
type View struct {
	Eye    r3.Vec  // direction from the scene to the viewer
	Up     r3.Vec  // what points up in the picture; its part along Eye is dropped
	Center r3.Vec  // the point in the middle of the picture
	Span   float64 // mm of the scene across the picture's width, > 0
}

// Frame returns the picture's axes: right, up and toward the viewer, a
// right-handed unit triple. A direction that is zero or an Up along Eye is
// replaced by a fixed choice that depends on Eye alone.
func (v View) Frame() (right, up, eye r3.Vec) {
	eye = v.Eye.UnitOr(r3.V(0, 0, 1))
	e1, _ := eye.Basis()
	up = v.Up.Reject(eye)
	if up.Norm() < minUp*v.Up.Norm() {
		up = e1
	}
	up = up.UnitOr(e1)
	return up.Cross(eye), up, eye
}

// minUp is the sine of the least angle between Up and Eye at which Up still says
// where up is (about half a degree).
const minUp = 0.01

// projector maps scene coordinates to picture pixels and depth.
type projector struct {
	right, up, eye r3.Vec
	center         r3.Vec
	perMM          float64 // pixels per mm
	cx, cy         float64 // the picture's middle in pixels
}

func (v View) projector(w, h int) projector {
	r, u, e := v.Frame()
	span := v.Span
	if !(span > 0) || math.IsInf(span, 0) {
		span = 10 // a tooth's width: a view without a span shows one tooth
	}
	return projector{r, u, e, v.Center, float64(w) / span, float64(w) / 2, float64(h) / 2}
}

// at returns pixel coordinates (x right, y down) and depth in mm toward the
// viewer, zero in the plane of the view's centre.
func (p projector) at(q r3.Vec) (x, y, z float64) {
	d := q.Sub(p.center)
	return p.cx + float64(p.perMM*p.right.Dot(d)), p.cy - float64(p.perMM*p.up.Dot(d)), p.eye.Dot(d)
}

// dir returns a direction in picture axes: x right, y down, z toward the viewer.
func (p projector) dir(d r3.Vec) (x, y, z float64) {
	return p.right.Dot(d), -p.up.Dot(d), p.eye.Dot(d)
}

// back is the inverse of at.
func (p projector) back(x, y, z float64) r3.Vec {
	return p.center.
		AddScaled((x-p.cx)/p.perMM, p.right).
		AddScaled((p.cy-y)/p.perMM, p.up).
		AddScaled(z, p.eye)
}
