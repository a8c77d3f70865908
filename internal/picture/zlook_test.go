package picture

import (
	"bufio"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"selvage/internal/picture/paint"
	"selvage/mesh"
	"selvage/r3"
)

func readOBJ(t testing.TB, path string, scale float64) *mesh.Mesh {
	f, err := os.Open(path)
	if err != nil {
		t.Skip(err)
	}
	defer f.Close()
	m := &mesh.Mesh{}
	s := bufio.NewScanner(f)
	for s.Scan() {
		w := strings.Fields(s.Text())
		if len(w) < 4 {
			continue
		}
		switch w[0] {
		case "v":
			x, _ := strconv.ParseFloat(w[1], 64)
			y, _ := strconv.ParseFloat(w[2], 64)
			z, _ := strconv.ParseFloat(w[3], 64)
			m.Pos = append(m.Pos, r3.V(x, y, z).Scale(scale))
		case "f":
			var tr [3]mesh.VertexID
			for i := range tr {
				k, _ := strconv.Atoi(strings.Split(w[i+1], "/")[0])
				tr[i] = mesh.VertexID(k - 1)
			}
			m.Tri = append(m.Tri, tr)
		}
	}
	return m
}

func TestLookCasts(t *testing.T) {
	up := readOBJ(t, "/work/shared/data/casts/upperteeth.obj", 1000)
	lo := readOBJ(t, "/work/shared/data/casts/lowerteeth.obj", 1000)
	fmt.Println(up.Box(), lo.Box(), up.SignedVolume(), lo.SignedVolume())
	for i, s := range []Scene{
		{View: View{Eye: r3.V(0, 0, -1), Up: r3.V(1, 0, 0), Center: up.Box().Center(), Span: 80}, W: 1200, H: 900,
			Surfaces: []Surface{{Mesh: up}}, Rim: []RimWord{{r3.V(1, 0, 0), "anterior"}, {r3.V(0, 1, 0), "left"}, {r3.V(0, -1, 0), "right"}}},
		{View: View{Eye: r3.V(1, 0, 0), Up: r3.V(0, 0, 1), Center: up.Box().Union(lo.Box()).Center(), Span: 90}, W: 1200, H: 900,
			Surfaces: []Surface{{Mesh: up}, {Mesh: lo, Tint: Opposing}}},
		{View: View{Eye: r3.V(0, 0, 1), Up: r3.V(-1, 0, 0), Center: r3.V(80, 25, 90), Span: 24}, W: 1200, H: 900,
			Surfaces: []Surface{{Mesh: lo}}},
		{View: View{Eye: r3.V(.5, 0.7, 1), Up: r3.V(-1, 0, 0), Center: r3.V(80, 25, 90), Span: 24}, W: 1200, H: 900,
			Surfaces: []Surface{{Mesh: lo, Tint: Context}}, Ground: Night},
	} {
		t0 := time.Now()
		img := s.Draw()
		t1 := time.Now()
		b := paint.Encode(img)
		fmt.Println(i, t1.Sub(t0), time.Since(t1), len(b))
		os.WriteFile(fmt.Sprintf("/tmp/look/cast%d.png", i), b, 0o644)
	}
}

func TestLookStage(t *testing.T) {
	s := fixtureStage()
	var figs []Figure
	figs = append(figs, s.Overview(fixtureSpots()))
	f, _ := s.ClearanceMap(1.5)
	figs = append(figs, f)
	f, _ = s.Bite()
	figs = append(figs, f)
	for _, p := range fixtureSpots() {
		figs = append(figs, s.SpotView(p))
		if f, ok := s.Hold(p); ok {
			figs = append(figs, f)
		}
	}
	for _, f := range figs {
		os.WriteFile("/tmp/look/"+f.Slot+".png", f.Data, 0o644)
		fmt.Println(f.Slot, len(f.Data))
	}
}
