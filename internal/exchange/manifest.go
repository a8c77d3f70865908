package exchange

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"path"
	"strings"

	"selvage/finding"
	"selvage/internal/casefile"
)

// ManifestSchema names the form of a manifest. Fields are added, never renamed.
const ManifestSchema = "selvage.manifest/1"

// Manifest says what is in a parcel.
type Manifest struct {
	Schema  string         `json:"schema" doc:"Always selvage.manifest/1."`
	Parcel  string         `json:"parcel" doc:"Names the parcel: SHA-256 over when it was packed and the name and hash of every file but the pages, one a line."`
	Case    string         `json:"case" doc:"Order number."`
	Teeth   []string       `json:"teeth" doc:"The prepared teeth, ISO 3950."`
	Made    string         `json:"made" doc:"When it was packed, RFC 3339."`
	Program string         `json:"program" doc:"Version of the program that packed it."`
	Version int            `json:"prescription_version,omitempty" doc:"Signed version of the prescription; left out for a draft."`
	Order   string         `json:"prescription_sha256,omitempty" doc:"Hash of what the prescription says."`
	Units   casefile.Units `json:"units" doc:"Unit of the coordinates of margin, axis and pictures."`
	Files   []ManifestFile `json:"files" doc:"Every other file of the parcel."`
	Caution string         `json:"caution" doc:"What is to be known about identity."`
}

// ManifestFile is one file of a parcel.
type ManifestFile struct {
	Name     string         `json:"name" doc:"Name in the archive."`
	What     string         `json:"what" doc:"scan, order, report, margin, geometry, picture, case or page."`
	Role     finding.Role   `json:"role,omitempty" doc:"What a scan shows."`
	Units    casefile.Units `json:"units,omitempty" doc:"Unit of a scan's coordinates."`
	Bytes    int            `json:"bytes" doc:"Size."`
	SHA256   string         `json:"sha256" doc:"Hash of the bytes in the archive."`
	Original string         `json:"original_sha256,omitempty" doc:"Hash of the scan as it was exported, where free text was taken out of its header."`
}

// caution stands in every manifest.
const caution = "No name is sent with the scans. The shape of teeth can identify a person all the same: treat this parcel as health data."

// Encode writes the manifest. The same manifest gives the same bytes.
func (m Manifest) Encode() ([]byte, error) {
	data, err := json.MarshalIndent(m, "", "  ")
	return append(data, '\n'), err
}

// ParseManifest reads a manifest.
func ParseManifest(data []byte) (Manifest, error) {
	var m Manifest
	d := json.NewDecoder(bytes.NewReader(data))
	if err := d.Decode(&m); err != nil {
		return m, fmt.Errorf("manifest: %w", err)
	}
	if m.Schema != ManifestSchema {
		return m, fmt.Errorf("manifest: its form is %q, not %q", m.Schema, ManifestSchema)
	}
	seen := map[string]bool{}
	for _, f := range m.Files {
		if !safe(f.Name) || seen[f.Name] {
			return m, fmt.Errorf("manifest: %q cannot be the name of a file", f.Name)
		}
		seen[f.Name] = true
	}
	return m, nil
}

// id names a parcel by all that is in it but the pages, one of which carries the name.
func (m Manifest) id() string {
	text := m.Made + "\n"
	for _, f := range m.Files {
		if f.What != WhatPage {
			text += f.Name + " " + f.SHA256 + "\n"
		}
	}
	return sum([]byte(text))
}

// safe reports whether a name can be unpacked anywhere without leaving its folder.
func safe(name string) bool {
	return name != "" && path.Clean(name) == name && !path.IsAbs(name) && name != ".." && !strings.HasPrefix(name, "../") &&
		!strings.ContainsAny(name, `\:*?"<>|`) && !strings.ContainsFunc(name, func(r rune) bool { return r < ' ' })
}

// sum is the hash of data, in hexadecimal.
func sum(data []byte) string {
	h := sha256.Sum256(data)
	return hex.EncodeToString(h[:])
}

// errNotThere says that an archive lacks its manifest.
var errNotThere = errors.New("it holds no manifest.json: it is no parcel, or not a whole one")
