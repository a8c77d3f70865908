package cli

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"time"

	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/internal/exchange"
	"selvage/internal/packed"
	"selvage/internal/picture"
	"selvage/internal/prescription"
	"selvage/internal/report"
	"selvage/internal/workorder"
)

// handOffVerb packs a case for a laboratory.
type handOffVerb struct {
	Case   []string `arg:"" help:"A case folder, a case.json, or scan files." predictor:"case"`
	Out    file     `required:"" help:"The archive to write, .zip; with --to it is encrypted, and .age is added." predictor:"file"`
	Scrub  bool     `help:"Take free text out of the scans' headers; every coordinate stays as it is."`
	Seal   file     `help:"Sign the list of hashes with this Ed25519 key (PEM, PKCS 8); it is made if it is not there." predictor:"file"`
	To     []string `help:"Encrypt to this age recipient, age1…; may be given more than once." sep:"none"`
	Anyway string   `help:"Pack it although the prescription lacks something, and say why."`
	Lang   string   `enum:"en,de" default:"en" help:"Language of the work order and the pages: en or de."`
	order  `group:"Without case.json, or to overrule it:"`
}

// Help is shown below the flags.
func (handOffVerb) Help() string {
	return `
Checks the case and packs it into one zip archive: the scans as they were exported under
sensible names, the work order as PDF, margin and path of draw, pictures, a page that shows
it all by double click and without a network, a receipt to fill in and send back, and a list
of every file with its hash.

    selvage hand-off CASE --out case_26.zip
    selvage hand-off CASE --out case_26.zip --seal practice.pem
    selvage hand-off CASE --out case_26.zip --to age1...

No name is put into a file name. What a scan says in its header is printed here: --scrub
takes it out. The shape of teeth can identify a person all the same.

Whoever receives it: selvage verify case_26.zip`
}

// Run checks, packs and writes.
func (v handOffVerb) Run(ctx context.Context, env Env) error {
	path := string(v.Out)
	if len(v.To) > 0 && !strings.HasSuffix(path, ".age") {
		path += ".age"
	}
	l, err := load(v.Case, v.order)
	if err != nil {
		return err
	}
	if err := (outputs{sources: l.sources, folder: l.folder}).allow(path); err != nil {
		return err
	}
	lacks := prescription.Missing(l.input.Case, prescription.Laboratory{})
	if len(lacks) > 0 && strings.TrimSpace(v.Anyway) == "" {
		w, err := prescription.Words(v.Lang)
		if err != nil {
			return err
		}
		var names []string
		for _, k := range lacks {
			names = append(names, w["field."+string(k.Field)])
		}
		return &inputError{What: "the prescription lacks: " + strings.Join(names, ", "), Try: `fill them in in case.json, or --anyway "why it is sent without"`}
	}
	key, err := sealKey(string(v.Seal))
	if err != nil {
		return err
	}
	if len(v.To) > 0 { // a slip is said before the check, not after it
		if _, err := exchange.Encrypt(io.Discard, v.To); err != nil {
			return &inputError{What: err.Error(), Try: "--to age1… as the laboratory gave it"}
		}
	}
	bar := newProgress(env)
	defer bar.done()
	result, err := check.Run(ctx, l.input, bar.show)
	bar.done()
	if err != nil {
		return asInput(err)
	}
	contents, err := v.contents(l, result, lacks)
	if err != nil {
		return err
	}
	parcel, err := exchange.Pack(contents)
	if err != nil {
		return err
	}
	data, err := packedBytes(parcel, key, v.To)
	if err != nil {
		return err
	}
	if err := writeFile(path, data); err != nil {
		return err
	}
	fmt.Fprintf(env.Stdout, "%s: %d files (%s), parcel %s.\n", path, len(parcel.Items)+1, bytesText(int64(len(data))), parcel.ID()[:16])
	if key != nil {
		fmt.Fprintf(env.Stdout, "Sealed by %s; tell the laboratory this another way.\n", exchange.Fingerprint(key.Public().(ed25519.PublicKey)))
	}
	for _, f := range l.input.Files {
		if text := exchange.HeaderText(f.Data); text != "" && !v.Scrub {
			fmt.Fprintf(env.Stdout, "%s says in its header: %s (--scrub takes it out)\n", f.Name, text)
		}
	}
	fmt.Fprintln(env.Stdout, result.Report.Line)
	return nil
}

// contents gathers what goes into the parcel.
func (v handOffVerb) contents(l loaded, result check.Outcome, lacks []prescription.Lack) (exchange.Contents, error) {
	c := l.input.Case
	if c.Name == "" {
		c.Name = result.Report.Case
	}
	units := map[string]casefile.Units{}
	for _, s := range result.Report.Scans {
		units[s.File] = s.Units
	}
	var scans []exchange.Scan
	for _, s := range result.Report.Scans {
		for _, f := range l.input.Files {
			if f.Name == s.File {
				scans = append(scans, exchange.Scan{Name: f.Name, Role: s.Role, Units: units[f.Name], Data: f.Data})
			}
		}
	}
	out := exchange.Contents{
		Order: c, Items: exchange.ScanItems(exchange.Teeth(c), scans, v.Scrub), Report: &result.Report,
		Made: time.Now(), Program: programVersion(), Lang: v.Lang,
	}
	paper := workorder.Input{Order: c, Program: programVersion(), Lang: v.Lang, Report: &result.Report}
	for _, i := range out.Items {
		paper.Files = append(paper.Files, workorder.File{Name: i.Name, Role: i.Role, SHA256: i.SHA256()})
	}
	for _, k := range lacks {
		paper.Missing = append(paper.Missing, workorder.Missing{Lack: k, Said: v.Anyway})
	}
	in := told(result, &c)
	for _, f := range picture.ForCheck(result, report.Numbering(result.Report)) {
		paper.Show(f.Slot, f.MIME, f.Data, f.Alt)
		in.Figures = append(in.Figures, report.Figure{Slot: f.Slot, MIME: f.MIME, Data: f.Data, W: f.W, H: f.H, Alt: f.Alt})
	}
	for _, q := range paper.Pictures {
		out.Pictures = append(out.Pictures, exchange.Picture{PNG: q.PNG, Caption: q.Caption})
	}
	var err error
	if out.WorkOrder, err = workorder.PDF(paper); err != nil {
		return out, err
	}
	if out.Page, err = report.HTML(in); err != nil {
		return out, err
	}
	for _, s := range packed.Scans(result, 0) {
		m, _ := packed.Coarse(s.Mesh, nil, packed.CoarseTarget)
		out.Surfaces = append(out.Surfaces, exchange.RoleSurface{Role: s.Role, Mesh: m})
	}
	if len(in.Facing) > 0 {
		out.Buccal = in.Facing[0].Buccal
	}
	return out, nil
}

// packedBytes writes a parcel, sealed and encrypted where that is asked for.
func packedBytes(p exchange.Parcel, key ed25519.PrivateKey, to []string) ([]byte, error) {
	var b bytes.Buffer
	if len(to) == 0 {
		_, err := p.Write(&b, key)
		return b.Bytes(), err
	}
	w, err := exchange.Encrypt(&b, to)
	if err != nil {
		return nil, err
	}
	if _, err := p.Write(w, key); err != nil {
		return nil, err
	}
	return b.Bytes(), w.Close()
}

// sealKey reads a key, or makes one where none is; nil where none is asked for.
func sealKey(path string) (ed25519.PrivateKey, error) {
	if path == "" {
		return nil, nil
	}
	data, err := readBounded(path, maxTextBytes)
	if errors.Is(err, fs.ErrNotExist) {
		_, key, err := ed25519.GenerateKey(rand.Reader)
		if err != nil {
			return nil, err
		}
		der, err := x509.MarshalPKCS8PrivateKey(key)
		if err != nil {
			return nil, err
		}
		text := pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: der})
		if err := os.WriteFile(path, text, 0o600); err != nil {
			return nil, writeError(path, err)
		}
		return key, nil
	}
	if err != nil {
		return nil, err
	}
	block, _ := pem.Decode(data)
	if block != nil {
		if key, err := x509.ParsePKCS8PrivateKey(block.Bytes); err == nil {
			if k, ok := key.(ed25519.PrivateKey); ok {
				return k, nil
			}
		}
	}
	return nil, &inputError{File: path, What: "is no Ed25519 key in PEM (PKCS 8)", Try: "openssl genpkey -algorithm ed25519, or name a file that is not there yet"}
}

// verifyVerb holds a parcel against what it says of itself.
type verifyVerb struct {
	File     string `arg:"" help:"The archive, .zip or .zip.age." predictor:"file"`
	Identity file   `help:"File with your age key, for an encrypted archive." predictor:"file"`
	Sealed   string `name:"sealed-by" help:"Fingerprint that the seal must have."`
}

// Help is shown below the flags.
func (verifyVerb) Help() string {
	return `
Holds every file of a packed case against the list of hashes in it, and the list against its
seal. Exit code 0: everything is as it was packed. 2: something is not, and it is named.

    selvage verify case_26.zip
    selvage verify case_26.zip.age --identity laboratory.key
    selvage verify case_26.zip --sealed-by "3f2a 9c01 77de 5b40 12aa"

A seal says that one key signed it. Whose key that is, the sender has to tell you another
way: compare the fingerprint.`
}

// maxParcel bounds what is read of an archive.
const maxParcel = 4 << 30

// Run verifies.
func (v verifyVerb) Run(env Env) error {
	data, err := readBounded(v.File, maxParcel)
	if err != nil {
		return err
	}
	if exchange.Encrypted(data) {
		if v.Identity == "" {
			return &inputError{File: v.File, What: "is encrypted", Try: "--identity with the file of your age key"}
		}
		ids, err := readBounded(string(v.Identity), maxTextBytes)
		if err != nil {
			return err
		}
		if data, err = exchange.Decrypt(data, bytes.NewReader(ids)); err != nil {
			return &inputError{File: v.File, What: err.Error(), Err: err}
		}
	}
	o, err := exchange.Verify(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return &inputError{File: v.File, What: err.Error(), Err: err}
	}
	m := o.Manifest
	fmt.Fprintf(env.Stdout, "Case %s, tooth %s (FDI), packed %s, parcel %s.\n", or(m.Case, "without a number"), strings.Join(m.Teeth, ", "), m.Made, short16(m.Parcel))
	for _, w := range o.Wrong {
		fmt.Fprintln(env.Stdout, w)
	}
	if o.Sealed != nil {
		fmt.Fprintf(env.Stdout, "Sealed by %s.\n", exchange.Fingerprint(o.Sealed))
	} else {
		fmt.Fprintln(env.Stdout, "It is not sealed: the hashes say that nothing was damaged, not who packed it.")
	}
	asked := strings.ReplaceAll(v.Sealed, " ", "")
	switch {
	case len(o.Wrong) > 0:
		return &inputError{File: v.File, What: "is not what was packed; what differs stands above", Try: "have it sent again"}
	case asked != "" && (o.Sealed == nil || strings.ReplaceAll(exchange.Fingerprint(o.Sealed), " ", "") != strings.ToLower(asked)):
		return &inputError{File: v.File, What: "is not sealed by " + v.Sealed, Try: "ask the sender for the fingerprint"}
	}
	fmt.Fprintf(env.Stdout, "All %d files are what was packed.\n", len(m.Files))
	return nil
}

func short16(s string) string { return s[:min(16, len(s))] }
