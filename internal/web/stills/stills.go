// Package stills says how the server draws a model where a browser does not: what is seen,
// from where, and which place a tap means. It knows nothing of pages.
package stills

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"selvage/bvh"
	"selvage/finding"
	"selvage/internal/packed"
	"selvage/internal/picture"
	"selvage/mesh"
	"selvage/r3"
)

// The size of a still, pixels. The page may show it smaller.
const (
	W = 960
	H = 720
)

// Still is the model as the server draws it, seen as one of the scene's views sees it.
type Still struct {
	Scene packed.Scene
	View  packed.View
	Role  finding.Role
	Kind  packed.Kind
	Mesh  *mesh.Mesh
}

// Camera looks as the browser's view does at the start.
func (st Still) Camera(wide bool) picture.View {
	const across = 4.7 // radii, as in the browser
	v := picture.View{Eye: r3.V(st.View.Eye[0], st.View.Eye[1], st.View.Eye[2]), Up: r3.V(st.View.Up[0], st.View.Up[1], st.View.Up[2])}
	v.Center = r3.V(st.Scene.Centre[0], st.Scene.Centre[1], st.Scene.Centre[2])
	v.Span = across * st.Scene.Radius * W / H
	if st.Kind == packed.Opposing {
		v.Eye = v.Eye.Neg() // its biting side
	}
	if wide { // the whole arch, to name teeth
		box := r3.EmptyBox()
		for _, p := range st.Mesh.Pos {
			box = box.Extend(p)
		}
		v.Center, v.Span = box.Center(), 1.3*box.Size().Norm()
	}
	return v
}

// Point is the place on the surface that a pixel shows.
func (st Still) Point(v picture.View, x, y float64) (r3.Vec, bool) {
	right, up, eye := v.Frame()
	perMM := W / v.Span
	const far = 1000 // mm
	from := v.Center.AddScaled((x-W/2)/perMM, right).AddScaled((H/2-y)/perMM, up).AddScaled(far, eye)
	hit, ok := bvh.Brute{Mesh: st.Mesh}.Ray(from, eye.Neg(), 0, 2*far)
	if !ok {
		return r3.Vec{}, false
	}
	return hit.Point, true
}

// Lines draws what is sure full and the rest dashed or beaded.
func Lines(m packed.Margin) []picture.Line {
	style := map[packed.State]picture.Style{packed.Captured: picture.Solid, packed.Doubtful: picture.Dashed, packed.NotCaptured: picture.Beads}
	var out []picture.Line
	n := len(m.Points)
	for i := 0; i < n; {
		k := i
		l := picture.Line{Style: style[m.State[i]], Points: []r3.Vec{}}
		for ; k < n && m.State[k] == m.State[i]; k++ {
			l.Points = append(l.Points, r3.V(m.Points[k][0], m.Points[k][1], m.Points[k][2]))
		}
		if k < n || m.Closed {
			p := m.Points[k%n]
			l.Points = append(l.Points, r3.V(p[0], p[1], p[2]))
		}
		out = append(out, l)
		i = k
	}
	return out
}

// Look shows a whole scan, its longer side across the picture.
func Look(m *mesh.Mesh) picture.Scene {
	var eye, mid r3.Vec
	for f := range m.Tri {
		eye = eye.Add(m.AreaVector(mesh.FaceID(f)))
	}
	for _, p := range m.Pos {
		mid = mid.Add(p.Scale(1 / float64(len(m.Pos))))
	}
	eye = eye.UnitOr(r3.V(0, 0, 1))
	x, y := eye.Basis()
	var xx, xy, yy, far float64
	for _, p := range m.Pos {
		d := p.Sub(mid)
		a, b := d.Dot(x), d.Dot(y)
		xx, xy, yy = xx+a*a, xy+a*b, yy+b*b
		far = max(far, d.Reject(eye).Norm())
	}
	turn := math.Atan2(2*xy, xx-yy)/2 + math.Pi/2 // of the shorter side
	up := x.Scale(math.Cos(turn)).AddScaled(math.Sin(turn), y)
	return picture.Scene{
		W: LookW, H: LookH, View: picture.View{Eye: eye, Up: up, Center: mid, Span: 2.1 * far}, NoScale: true,
		Surfaces: []picture.Surface{{Mesh: m}},
	}
}

// The size of the first look, pixels.
const (
	LookW = 640
	LookH = 400
)

// ErrPlace says that a text names no place.
var ErrPlace = errors.New("stills: no place")

// Points reads places, each "x,y,z" in mm.
func Points(texts []string) ([]r3.Vec, error) {
	const most = 1000
	if len(texts) > most {
		return nil, ErrPlace
	}
	var out []r3.Vec
	for _, t := range texts {
		var p [3]float64
		parts := strings.Split(t, ",")
		if len(parts) != len(p) {
			return nil, ErrPlace
		}
		for i, c := range parts {
			v, err := strconv.ParseFloat(c, 64)
			if err != nil || math.IsNaN(v) || math.Abs(v) > 1000 {
				return nil, ErrPlace
			}
			p[i] = v
		}
		out = append(out, r3.V(p[0], p[1], p[2]))
	}
	return out, nil
}

// PointText writes a place as [Points] reads it.
func PointText(p r3.Vec) string { return fmt.Sprintf("%.4f,%.4f,%.4f", p.X, p.Y, p.Z) }
