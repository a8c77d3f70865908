package study

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/limit"
	"selvage/mesh"
	"selvage/meshio/obj"
	"selvage/meshio/ply"
	"selvage/meshio/stl"
	"selvage/meshio/wire"
	"selvage/phantom"
	"selvage/tooth"
)

// Files turns a phantom into what stands on a disk: the prescription and the bytes
// of its scans, encoded by the ending of each file's name. The prescription is
// complete, with people and places that do not exist, so that nothing is found
// missing in it but what a fault leaves out.
func Files(name string, c phantom.Case) (casefile.Case, []check.File, error) {
	p := c.Prescription
	out := casefile.Case{
		Name: name,
		Restorations: []casefile.Restoration{{
			Tooth: casefile.CodeOf(p.Tooth), Kind: casefile.Kind(p.Kind),
			Material: limit.Material(p.Material), Cement: limit.Cement(p.Cement), FinishLine: limit.FinishLine(p.FinishLine),
			MadeBy:       casefile.ByLaboratory,
			Shade:        casefile.Shade{Guide: "demonstration", Body: "medium", Incisal: "light", Cervical: "dark", Stump: "medium"},
			Contacts:     casefile.Contacts{Mesial: "firm", Distal: "firm"},
			Occlusion:    casefile.Occlusion{Scheme: "canine guidance", OpposingMaterial: "enamel", Bruxism: new(bool)},
			IfSpaceShort: casefile.Call,
		}},
		Dates:      casefile.Dates{Prepared: "2026-05-04", Due: "2026-05-15", Seat: "2026-05-19"},
		Prescriber: casefile.Prescriber{Name: "Demonstration", Licence: "none"},
		Laboratory: casefile.Laboratory{Name: "Demonstration", Address: "none"},
		Patient:    casefile.Patient{Reference: name},
		Units:      casefile.Units(p.Units),
	}
	files := make([]check.File, 0, len(c.Scans))
	for _, s := range c.Scans {
		data, err := encode(s.File, s.Mesh)
		if err != nil {
			return casefile.Case{}, nil, err
		}
		entry := casefile.ScanFile{Role: finding.Role(s.Role), File: s.File}
		f := check.File{Name: s.File, Role: finding.Role(s.Role), Data: data}
		if s.Tooth != 0 {
			entry.Tooth = casefile.ToothRef{System: tooth.FDI, Code: s.Tooth.String()}
			f.Tooth = s.Tooth.String()
		}
		out.Scans = append(out.Scans, entry)
		files = append(files, f)
	}
	return out, files, nil
}

// encode writes a mesh in the format that the file's ending names.
func encode(file string, m *mesh.Mesh) ([]byte, error) {
	var b bytes.Buffer
	var err error
	switch ext := strings.ToLower(filepath.Ext(file)); ext {
	case ".stl":
		err = stl.Encode(&b, m)
	case ".ply":
		err = ply.Encode(&b, m, ply.Options{Encoding: wire.BinaryLittle})
	case ".obj":
		err = obj.Encode(&b, m)
	default:
		return nil, fmt.Errorf("study: %s: no format ends in %q", file, ext)
	}
	return b.Bytes(), err
}
