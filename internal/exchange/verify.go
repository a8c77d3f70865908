package exchange

import (
	"archive/zip"
	"bytes"
	"crypto/ed25519"
	"fmt"
	"io"
	"strings"

	"filippo.io/age"
)

// Bounds on what is unpacked: an archive may claim anything.
const (
	maxFile  = 1 << 30
	maxFiles = 500
	maxText  = 16 << 20
)

// Opened is a parcel that was looked into.
type Opened struct {
	Manifest Manifest
	Sealed   ed25519.PublicKey // by whom; nil: it is not sealed
	Wrong    []string          // what is not as the manifest says, in sentences; empty: all is
}

// Verify holds every file of an archive against its manifest, and the manifest against its
// seal. An error says that the archive cannot be read; what does not agree stands in Wrong.
func Verify(r io.ReaderAt, size int64) (Opened, error) {
	var o Opened
	z, err := zip.NewReader(r, size)
	if err != nil {
		return o, fmt.Errorf("it is no zip archive, or a damaged one (%w)", err)
	}
	if len(z.File) > maxFiles {
		return o, fmt.Errorf("it holds %d files, which no parcel does", len(z.File))
	}
	files := map[string]*zip.File{}
	for _, f := range z.File {
		if files[f.Name] != nil {
			o.Wrong = append(o.Wrong, fmt.Sprintf("%s is there twice.", f.Name))
		}
		files[f.Name] = f
	}
	if files[manifestName] == nil {
		return o, errNotThere
	}
	manifest, err := unpack(files[manifestName], maxText)
	if err != nil {
		return o, err
	}
	if o.Manifest, err = ParseManifest(manifest); err != nil {
		return o, err
	}
	if o.Manifest.Parcel != o.Manifest.id() {
		o.Wrong = append(o.Wrong, "The manifest is not as it was written: its files do not give the name of the parcel.")
	}
	delete(files, manifestName)
	if f := files[sealName]; f != nil {
		data, err := unpack(f, maxText)
		if err == nil {
			o.Sealed, err = opened(data, manifest)
		}
		if err != nil {
			o.Wrong = append(o.Wrong, strings.ToUpper(err.Error()[:1])+err.Error()[1:]+".")
		}
		delete(files, sealName)
	}
	for _, m := range o.Manifest.Files {
		f := files[m.Name]
		if f == nil {
			o.Wrong = append(o.Wrong, fmt.Sprintf("%s is missing.", m.Name))
			continue
		}
		delete(files, m.Name)
		data, err := unpack(f, maxFile)
		switch {
		case err != nil:
			o.Wrong = append(o.Wrong, fmt.Sprintf("%s cannot be read (%v).", m.Name, err))
		case sum(data) != m.SHA256 || len(data) != m.Bytes:
			o.Wrong = append(o.Wrong, fmt.Sprintf("%s is not the file that was packed.", m.Name))
		}
	}
	for _, f := range z.File { // in their order
		if files[f.Name] != nil {
			o.Wrong = append(o.Wrong, fmt.Sprintf("%s was put in afterwards.", f.Name))
		}
	}
	return o, nil
}

func unpack(f *zip.File, most int64) ([]byte, error) {
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	data, err := io.ReadAll(io.LimitReader(r, most+1))
	if err == nil && int64(len(data)) > most {
		err = fmt.Errorf("%s is larger than a parcel's file can be", f.Name)
	}
	return data, err
}

// Decrypt opens an encrypted parcel with identities as age writes them into a file.
func Decrypt(data []byte, identities io.Reader) ([]byte, error) {
	ids, err := age.ParseIdentities(identities)
	if err != nil {
		return nil, fmt.Errorf("the key cannot be read (%w)", err)
	}
	r, err := age.Decrypt(bytes.NewReader(data), ids...)
	if err != nil {
		return nil, fmt.Errorf("it is not for this key, or damaged (%w)", err)
	}
	out, err := io.ReadAll(io.LimitReader(r, 4<<30))
	if err != nil {
		return nil, fmt.Errorf("it is damaged (%w)", err)
	}
	return out, nil
}

// Encrypted reports whether data is an age file.
func Encrypted(data []byte) bool { return bytes.HasPrefix(data, []byte("age-encryption.org/")) }
