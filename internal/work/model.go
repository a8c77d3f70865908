package work

import (
	"bytes"
	"context"
	"fmt"
	"math"

	"selvage/finding"
	"selvage/internal/check"
	"selvage/internal/packed"
	"selvage/internal/report"
	"selvage/internal/store"
)

// keepModels stores the surfaces of a check for the browser, each with a coarse twin
// where it is large, and describes the scene of every restoration.
func (d *Desk) keepModels(ctx context.Context, out check.Outcome) ([]ModelRef, []packed.Scene, error) {
	var models []ModelRef
	var scenes []packed.Scene
	put := func(ref ModelRef, data []byte) error {
		h, _, err := d.blobs.Put(ctx, bytes.NewReader(data))
		ref.Hash = h
		models = append(models, ref)
		return err
	}
	for r := range out.Scene.Restorations {
		scene, ok := packed.SceneOf(out, r, packed.Site{
			Address: func(role finding.Role, coarse bool) string { return modelAddress(r, role, coarse) },
			Number:  report.Numbering(out.Report),
			Point:   fmt.Sprintf("point?restoration=%d&role={role}&x={x}&y={y}&z={z}", r),
		})
		scenes = append(scenes, scene)
		if !ok {
			continue
		}
		for i, s := range packed.Scans(out, r) {
			ref := ModelRef{Restoration: r, Role: s.Role}
			if err := put(ref, packed.Encode(s.Mesh, s.Values)); err != nil {
				return nil, nil, err
			}
			if scene.Surfaces[i].Coarse == "" {
				continue
			}
			ref.Coarse = true
			m, values := packed.Coarse(s.Mesh, s.Values, packed.CoarseTarget)
			if err := put(ref, packed.Encode(m, values)); err != nil {
				return nil, nil, err
			}
		}
	}
	return models, scenes, nil
}

func modelAddress(restoration int, role finding.Role, coarse bool) string {
	how := "fine"
	if coarse {
		how = "coarse"
	}
	return fmt.Sprintf("model/%d/%s/%s", restoration, role, how)
}

// Model returns the bytes of a surface of a result, by the address that its scene names.
func (d *Desk) Model(ctx context.Context, r Result, restoration int, role finding.Role, coarse bool) ([]byte, error) {
	for _, m := range r.Models {
		if m.Restoration == restoration && m.Role == role && m.Coarse == coarse {
			return d.blobs.Get(ctx, m.Hash)
		}
	}
	return nil, store.ErrNoBlob
}

// near is how far from a vertex a place still has its value, mm.
const near = 0.5

// Values returns what was measured at a place on the prepared tooth, in mm by the name of
// the value, as it was stored with the check: at the nearest vertex. It is empty where
// nothing was measured. Cost: one pass over the vertices.
func (d *Desk) Values(ctx context.Context, r Result, restoration int, role finding.Role, at [3]float64) (map[string]float64, error) {
	out := map[string]float64{}
	data, err := d.Model(ctx, r, restoration, role, false)
	if err != nil {
		return out, err
	}
	s, err := packed.Decode(data)
	if err != nil {
		return out, err
	}
	best, where := near*near, -1
	for i, p := range s.Mesh.Pos {
		x, y, z := p.X-at[0], p.Y-at[1], p.Z-at[2]
		if q := x*x + y*y + z*z; q < best {
			best, where = q, i
		}
	}
	if where < 0 {
		return out, nil
	}
	for _, v := range s.Values {
		if !math.IsNaN(v.Of[where]) {
			out[v.Name] = v.Of[where]
		}
	}
	return out, nil
}
