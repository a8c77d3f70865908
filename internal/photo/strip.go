// Package photo makes a photograph fit to be sent: it takes out what says where, when, with
// what and of whom it was taken, without touching a pixel, and tells whether the picture can
// be used: large enough, sharp, neither too dark nor burnt out.
//
// It reads JPEG and PNG. It judges no colour: without a calibrated target in the picture a
// colour read from it means nothing.
package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
)

// ErrFormat says that data is neither JPEG nor PNG, or is damaged.
var ErrFormat = errors.New("this is neither a JPEG nor a PNG picture, or it is damaged")

var (
	pngHead  = []byte("\x89PNG\r\n\x1a\n")
	exifHead = []byte("Exif\x00\x00")
	iccHead  = []byte("ICC_PROFILE\x00")
)

// Strip returns a picture without its metadata. Pixels, colour profile and the way up stay;
// place, time, camera, names, comments, previews and whatever follows the picture go.
func Strip(data []byte) ([]byte, error) {
	switch {
	case bytes.HasPrefix(data, []byte{0xff, 0xd8}):
		return stripJPEG(data)
	case bytes.HasPrefix(data, pngHead):
		return stripPNG(data)
	}
	return nil, ErrFormat
}

// Turned returns how a JPEG lies, as its metadata says: 1 upright, 2 to 8 turned or mirrored
// (Exif 2.32, tag 0x0112). Whatever else it is, is upright.
func Turned(data []byte) int {
	if !bytes.HasPrefix(data, []byte{0xff, 0xd8}) {
		return 1
	}
	if o := orientation(data); o >= 1 && o <= 8 {
		return o
	}
	return 1
}

// stripJPEG copies the segments that make the picture, and what is between them.
func stripJPEG(data []byte) ([]byte, error) {
	out := []byte{0xff, 0xd8}
	if o := orientation(data); o > 1 {
		out = append(out, upright(o)...)
	}
	at := 2
	for {
		for at+1 < len(data) && data[at] == 0xff && data[at+1] == 0xff { // filling
			at++
		}
		if at+1 >= len(data) || data[at] != 0xff {
			return nil, ErrFormat
		}
		marker := data[at+1]
		if marker == 0xd9 {
			return append(out, 0xff, 0xd9), nil // what follows is no part of the picture
		}
		if at+4 > len(data) {
			return nil, ErrFormat
		}
		end := at + 2 + int(binary.BigEndian.Uint16(data[at+2:]))
		if end < at+4 || end > len(data) {
			return nil, ErrFormat
		}
		if kept(marker, data[at+4:end]) {
			out = append(out, data[at:end]...)
		}
		at = end
		if marker == 0xda { // the picture's own bytes run up to the next marker
			stop := scanEnd(data, at)
			out = append(out, data[at:stop]...)
			at = stop
		}
	}
}

// scanEnd returns where the next marker stands that is neither a stuffed byte nor a restart.
func scanEnd(data []byte, at int) int {
	for ; at+1 < len(data); at++ {
		if b := data[at+1]; data[at] == 0xff && b != 0 && b != 0xff && (b < 0xd0 || b > 0xd7) {
			return at
		}
	}
	return len(data)
}

// kept reports whether a segment of a JPEG is needed to show the picture as it is.
func kept(marker byte, body []byte) bool {
	switch {
	case marker == 0xfe: // comment
		return false
	case marker == 0xe0 || marker == 0xee: // JFIF; Adobe's, which says how colours are coded
		return marker == 0xee || bytes.HasPrefix(body, []byte("JFIF\x00"))
	case marker == 0xe2:
		return bytes.HasPrefix(body, iccHead)
	}
	return marker < 0xe0 || marker > 0xef
}

// orientation returns the way up that the metadata of a JPEG states, 1 to 8; 0: none.
func orientation(data []byte) int {
	i := bytes.Index(data[:min(len(data), 1<<17)], exifHead)
	if i < 0 || i+14 > len(data) {
		return 0
	}
	t := data[i+len(exifHead):]
	var order binary.ByteOrder = binary.LittleEndian
	if bytes.HasPrefix(t, []byte("MM")) {
		order = binary.BigEndian
	}
	first := int(order.Uint32(t[4:]))
	if first < 8 || first+2 > len(t) {
		return 0
	}
	for k := range int(order.Uint16(t[first:])) {
		e := first + 2 + 12*k
		if e+12 > len(t) {
			return 0
		}
		if order.Uint16(t[e:]) == 0x0112 {
			if v := int(order.Uint16(t[e+8:])); v >= 1 && v <= 8 {
				return v
			}
		}
	}
	return 0
}

// upright is a segment that says nothing but the way up.
func upright(o int) []byte {
	body := append(append([]byte{}, exifHead...), "MM\x00\x2a\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00"...)
	body = append(body, byte(o), 0, 0, 0, 0, 0, 0)
	return append([]byte{0xff, 0xe1, byte((len(body) + 2) >> 8), byte(len(body) + 2)}, body...)
}

// pngKept are the chunks of a PNG beside the critical ones that change how it looks.
var pngKept = map[string]bool{"tRNS": true, "gAMA": true, "cHRM": true, "sRGB": true, "iCCP": true, "sBIT": true, "pHYs": true}

func stripPNG(data []byte) ([]byte, error) {
	out := append([]byte{}, pngHead...)
	at := len(pngHead)
	for at+12 <= len(data) {
		n := int(binary.BigEndian.Uint32(data[at:]))
		kind := string(data[at+4 : at+8])
		end := at + 12 + n
		if n < 0 || end > len(data) || end < at {
			return nil, ErrFormat
		}
		critical := kind[0] >= 'A' && kind[0] <= 'Z'
		if critical || pngKept[kind] {
			out = append(out, data[at:end]...)
		}
		if kind == "IEND" {
			return out, nil
		}
		at = end
	}
	return nil, ErrFormat
}
