package exchange

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"html/template"
	"math"

	"selvage/mesh"
	"selvage/r3"
)

//go:embed page/*
var pageFiles embed.FS

//go:embed words/*.json
var wordFiles embed.FS

// View is what the page of a parcel shows.
type View struct {
	Lang     string // of the page
	Title    string // order number
	Teeth    string // in all systems
	Line     string // of the verdict; may be empty
	Surfaces []Surface
	Lines    []Line
	Views    []Direction // the first is shown first
	Pictures []Picture
}

// Surface is a mesh to draw, coarse enough for a page.
type Surface struct {
	Name string
	Mesh *mesh.Mesh
	Ink  [3]float64 // colour where the mesh has none, 0 to 1
	On   bool       // drawn from the beginning
}

// Line is a curve to draw, mm in the frame of the surfaces.
type Line struct {
	Name   string
	Points [][3]float64
	Ink    [3]float64
}

// Direction is where one looks from: unit vectors.
type Direction struct {
	Name     string
	From, Up r3.Vec
}

// Picture is a drawn picture, PNG, or a photograph, JPEG.
type Picture struct {
	PNG     []byte
	JPEG    []byte
	Caption string
}

// bytes returns the picture with the end of its name and its media type.
func (p Picture) bytes() (data []byte, ext, mime string) {
	if len(p.JPEG) > 0 {
		return p.JPEG, ".jpg", "image/jpeg"
	}
	return p.PNG, ".png", "image/png"
}

// Pages makes the page that shows a parcel, and the receipt, as items to be added to it.
func (p Parcel) Pages(v View) ([]Item, error) {
	w, err := loadWords(v.Lang)
	if err != nil {
		return nil, err
	}
	view, err := p.viewPage(v, w)
	if err != nil {
		return nil, err
	}
	receipt, err := p.receiptPage(v, w)
	if err != nil {
		return nil, err
	}
	return []Item{{Name: pageName, What: WhatPage, Data: view}, {Name: receiptName, What: WhatPage, Data: receipt}}, nil
}

// common is what both pages need.
type common struct {
	Lang, Title           string
	Style                 template.CSS
	Script                template.JS
	StyleHash, ScriptHash string
	w                     map[string]string
}

// T returns a text of the page.
func (c common) T(key string) string {
	if s, ok := c.w[key]; ok {
		return s
	}
	return "[" + key + "]"
}

func newCommon(v View, w map[string]string, script string) (common, error) {
	c := common{Lang: v.Lang, Title: v.Title, w: w}
	if c.Lang == "" {
		c.Lang = "en"
	}
	style, err := pageFiles.ReadFile("page/page.css")
	if err != nil {
		return c, err
	}
	code, err := pageFiles.ReadFile("page/" + script)
	if err != nil {
		return c, err
	}
	c.Style, c.Script = template.CSS(style), template.JS(code) // both are our own files
	c.StyleHash, c.ScriptHash = allowed(style), allowed(code)
	return c, nil
}

// allowed names a text in a policy that lets nothing else run.
func allowed(text []byte) string {
	h := sha256.Sum256(text)
	return "sha256-" + base64.StdEncoding.EncodeToString(h[:])
}

func render(name string, data any) ([]byte, error) {
	t, err := template.ParseFS(pageFiles, "page/"+name)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := t.Execute(&b, data); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return b.Bytes(), nil
}

func (p Parcel) viewPage(v View, w map[string]string) ([]byte, error) {
	c, err := newCommon(v, w, "view.js")
	if err != nil {
		return nil, err
	}
	type picture struct {
		URL     template.URL
		Caption string
	}
	type file struct{ Name, What, SHA256 string }
	page := struct {
		common
		Teeth, Line string
		Pictures    []picture
		Files       []file
		Scene       any
	}{common: c, Teeth: v.Teeth, Line: v.Line, Scene: sceneOf(v)}
	for _, q := range v.Pictures {
		data, _, mime := q.bytes()
		page.Pictures = append(page.Pictures, picture{template.URL("data:" + mime + ";base64," + base64.StdEncoding.EncodeToString(data)), q.Caption})
	}
	for _, f := range p.Manifest().Files {
		page.Files = append(page.Files, file{f.Name, c.T("what." + f.What), f.SHA256})
	}
	return render("view.html", page)
}

func (p Parcel) receiptPage(v View, w map[string]string) ([]byte, error) {
	c, err := newCommon(v, w, "receipt.js")
	if err != nil {
		return nil, err
	}
	type choice struct{ Value, Name string }
	page := struct {
		common
		Answers, Reasons []choice
		About            map[string]string
	}{common: c, About: map[string]string{
		"schema": ReceiptSchema, "parcel": p.ID(), "name": Base(p.Teeth) + "_receipt.json", "saved": c.T("receipt.saved"), "why": c.T("receipt.why"),
	}}
	for _, a := range Answers() {
		page.Answers = append(page.Answers, choice{string(a), c.T("answer." + string(a))})
	}
	for _, r := range ReceiptReasons() {
		page.Reasons = append(page.Reasons, choice{string(r), c.T("reason." + string(r))})
	}
	return render("receipt.html", page)
}

// scene is what the script draws.
type scene struct {
	Middle   [3]float64     `json:"middle"`
	Reach    float64        `json:"reach"`
	Surfaces []sceneSurface `json:"surfaces"`
	Lines    []sceneLine    `json:"lines"`
	Views    []sceneView    `json:"views"`
}

type sceneSurface struct {
	Name      string     `json:"name"`
	On        bool       `json:"on"`
	Ink       [3]float64 `json:"ink"`
	Origin    [3]float64 `json:"origin"`
	Step      float64    `json:"step"`
	Points    string     `json:"points"`    // base64 of three uint16 a vertex, little endian
	Triangles string     `json:"triangles"` // base64 of three uint32 a triangle
	Colours   string     `json:"colours,omitempty"`
}

type sceneLine struct {
	Name   string       `json:"name"`
	Ink    [3]float64   `json:"ink"`
	Points [][3]float64 `json:"points"`
}

type sceneView struct {
	Name string     `json:"name"`
	From [3]float64 `json:"from"`
	Up   [3]float64 `json:"up"`
}

// sceneOf packs what is drawn. The middle is that of what is on from the beginning.
func sceneOf(v View) scene {
	s := scene{Reach: 1, Surfaces: []sceneSurface{}, Lines: []sceneLine{}, Views: []sceneView{}}
	box := r3.EmptyBox()
	for _, f := range v.Surfaces {
		if f.On {
			for _, p := range f.Mesh.Pos {
				box = box.Extend(p)
			}
		}
		s.Surfaces = append(s.Surfaces, packSurface(f))
	}
	if !box.Empty() {
		s.Middle = box.Center().Array()
		s.Reach = math.Max(1, 0.55*box.Max.Sub(box.Min).Norm())
	}
	for _, l := range v.Lines {
		s.Lines = append(s.Lines, sceneLine{l.Name, l.Ink, l.Points})
	}
	for _, d := range v.Views {
		s.Views = append(s.Views, sceneView{d.Name, d.From.Array(), d.Up.Array()})
	}
	if len(s.Views) == 0 {
		s.Views = append(s.Views, sceneView{"0", [3]float64{0, 0, 1}, [3]float64{0, 1, 0}})
	}
	return s
}

// packSurface writes coordinates in 65,535 steps of the widest side.
func packSurface(f Surface) sceneSurface {
	box := r3.EmptyBox()
	for _, p := range f.Mesh.Pos {
		box = box.Extend(p)
	}
	out := sceneSurface{Name: f.Name, On: f.On, Ink: f.Ink}
	if box.Empty() {
		return out
	}
	side := box.Max.Sub(box.Min)
	out.Origin, out.Step = box.Min.Array(), max(side.X, side.Y, side.Z, 1e-6)/math.MaxUint16
	var points, triangles, colours []byte
	for _, p := range f.Mesh.Pos {
		for _, d := range p.Sub(box.Min).Array() {
			points = binary.LittleEndian.AppendUint16(points, uint16(math.Round(d/out.Step)))
		}
	}
	for _, t := range f.Mesh.Tri {
		for _, k := range t {
			triangles = binary.LittleEndian.AppendUint32(triangles, uint32(k))
		}
	}
	for _, c := range f.Mesh.Color {
		colours = append(colours, c[0], c[1], c[2])
	}
	enc := base64.StdEncoding.EncodeToString
	out.Points, out.Triangles, out.Colours = enc(points), enc(triangles), enc(colours)
	return out
}

func loadWords(lang string) (map[string]string, error) {
	if lang == "" {
		lang = "en"
	}
	data, err := wordFiles.ReadFile("words/" + lang + ".json")
	if err != nil {
		return nil, fmt.Errorf("no words in %q", lang)
	}
	var w map[string]string
	return w, json.Unmarshal(data, &w)
}

// Words returns what the pages say, for who shows a receipt elsewhere.
func Words(lang string) (map[string]string, error) { return loadWords(lang) }
