package exchange

import (
	"archive/zip"
	"compress/flate"
	"crypto/ed25519"
	"fmt"
	"io"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"

	"filippo.io/age"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/tooth"
)

// The files that every parcel has, and the one of a sealed one.
const (
	manifestName = "manifest.json"
	sealName     = "seal.json"
	pageName     = "view.html"
	receiptName  = "receipt.html"
)

// What a file of a parcel is.
const (
	WhatScan     = "scan"
	WhatOrder    = "order"
	WhatReport   = "report"
	WhatMargin   = "margin"
	WhatGeometry = "geometry"
	WhatPicture  = "picture"
	WhatCase     = "case"
	WhatPage     = "page"
)

// Item is one file on its way into a parcel.
type Item struct {
	Name     string
	What     string // one of the constants
	Role     finding.Role
	Units    casefile.Units
	Data     []byte
	Original string // hash before free text was taken out; empty: nothing was
}

// Parcel is what is handed over.
type Parcel struct {
	Case    string
	Teeth   []tooth.Number
	Made    time.Time
	Program string
	Version int
	Order   string
	Items   []Item
}

// Base is how the files of a parcel begin: case_26, or case_14-16.
func Base(teeth []tooth.Number) string {
	names := make([]string, len(teeth))
	for i, n := range teeth {
		names[i] = n.String()
	}
	return "case_" + strings.Join(names, "-")
}

// ScanName names a scan in a parcel by what it shows, such as case_26_working.ply. taken
// are the names given before, among which it will be single.
func ScanName(base string, role finding.Role, was string, taken []string) string {
	ext := strings.ToLower(path.Ext(was))
	if ext != ".stl" && ext != ".ply" && ext != ".obj" {
		ext = ".mesh"
	}
	shows := string(role)
	if shows == "" {
		shows = "scan"
	}
	name := base + "_" + shows + ext
	for n := 2; slices.Contains(taken, name); n++ {
		name = base + "_" + shows + "-" + strconv.Itoa(n) + ext
	}
	return name
}

// Manifest lists the parcel.
func (p Parcel) Manifest() Manifest {
	m := Manifest{
		Schema: ManifestSchema, Case: p.Case, Made: p.Made.UTC().Format(time.RFC3339), Program: p.Program,
		Version: p.Version, Order: p.Order, Units: casefile.Millimetre, Caution: caution, Teeth: []string{}, Files: []ManifestFile{},
	}
	for _, n := range p.Teeth {
		m.Teeth = append(m.Teeth, n.String())
	}
	for _, i := range p.Items {
		m.Files = append(m.Files, ManifestFile{
			Name: i.Name, What: i.What, Role: i.Role, Units: i.Units, Bytes: len(i.Data), SHA256: sum(i.Data), Original: i.Original,
		})
	}
	m.Parcel = m.id()
	return m
}

// ID names the parcel; adding pages leaves it as it is.
func (p Parcel) ID() string { return p.Manifest().Parcel }

// Write packs the parcel into w and returns its manifest. With a key it is sealed. The same
// parcel gives the same bytes.
func (p Parcel) Write(w io.Writer, key ed25519.PrivateKey) (manifest []byte, err error) {
	if manifest, err = p.Manifest().Encode(); err != nil {
		return nil, err
	}
	if _, err := ParseManifest(manifest); err != nil {
		return nil, err // a name that could not be unpacked
	}
	z := zip.NewWriter(w)
	// WHY the fastest: a mesh shrinks to half at the first go, and a person waits.
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.BestSpeed) })
	add := func(name string, data []byte) error {
		h := &zip.FileHeader{Name: name, Method: zip.Deflate, Modified: p.Made.UTC().Truncate(2 * time.Second)}
		if strings.HasSuffix(name, ".png") || strings.HasSuffix(name, ".jpg") {
			h.Method = zip.Store
		}
		f, err := z.CreateHeader(h)
		if err != nil {
			return err
		}
		_, err = f.Write(data)
		return err
	}
	if err := add(manifestName, manifest); err != nil {
		return nil, err
	}
	if key != nil {
		s, err := seal(manifest, key)
		if err != nil {
			return nil, err
		}
		if err := add(sealName, s); err != nil {
			return nil, err
		}
	}
	for _, i := range p.Items {
		if err := add(i.Name, i.Data); err != nil {
			return nil, err
		}
	}
	return manifest, z.Close()
}

// Encrypt returns a writer that encrypts to age recipients, age1…; close it to finish.
func Encrypt(w io.Writer, recipients []string) (io.WriteCloser, error) {
	var to []age.Recipient
	for _, r := range recipients {
		parsed, err := age.ParseRecipients(strings.NewReader(r))
		if err != nil {
			return nil, fmt.Errorf("%q is no age recipient", r)
		}
		to = append(to, parsed...)
	}
	return age.Encrypt(w, to...)
}
